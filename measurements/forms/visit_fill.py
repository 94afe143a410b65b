"""The buttons of the visit's form that fill in shoes: as last, new, barefoot, one's own, as the other.

Each carries what it fills in, for the script; without one it sends the form, which comes back
filled in. What it asks for is written "fronts-reset": which feet, and what.

Decided 2026-11: "as last" fills in the shoe; the button itself asks whether it is new or set again.
Decided 2026-11-29: a shoe is copied from one side to the other, a measurement never: two feet that
were given one reading cannot show that one of them changed.
"""

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from horses.models import FootWork, Shoeing
from measurements.forms.visit_shoe import AS_LAST, DETAILS, last_values

FILL_BUTTON = "as_last"  # the name under which the buttons are sent
ALL, FRONTS, HINDS = "all", "fronts", "hinds"
FEET_OF = {ALL: ("LF", "RF", "LH", "RH"), FRONTS: ("LF", "RF"), HINDS: ("LH", "RH")}
RESET, NEW, BARE, OWN, LIKE = "reset", "new", "bare", "own", "as"
WORDS = {RESET: "As last, reset", NEW: "New shoes", BARE: "Barefoot"}
COPIED = (*AS_LAST, "left")


@dataclass(frozen=True)
class FillButton:
    """A button that fills in fields: by script from `fields`, else by sending `asked`."""

    asked: str
    words: str
    fields: str  # JSON
    is_pressed: bool = False


@dataclass(frozen=True)
class ShoeFills:
    """What each button means on this horse.

    `last`: what each foot last wore; `shod`: the feet that came with a shoe; `own`: the person's
    own shoes, by the fields of the form; `typed`: what stands in the form that was sent.
    """

    last: Mapping[str, FootWork]
    shod: Collection[str] = ()
    own: Sequence[Mapping[str, str]] = ()
    typed: Mapping[str, Any] = field(default_factory=dict)
    pressed: str = ""

    def fields(self, asked: str) -> dict[str, str]:
        """The fields that a button fills in, by name; nothing for a button that is none."""
        which, _, what = asked.partition("-")
        feet = FEET_OF.get(which, (which,) if which in FEET_OF[ALL] else ())
        return {
            f"{foot}-{name}": value
            for foot in feet
            for name, value in self._foot(foot, what).items()
        }

    def button(self, which: str, what: str, words: str = "") -> FillButton | None:
        asked = f"{which}-{what}"
        fields = self.fields(asked)
        if not fields:
            return None
        said = words or WORDS[what]
        return FillButton(asked, said, json.dumps(fields), asked == self.pressed)

    def of_pair(self, which: str) -> list[FillButton]:
        made = [self.button(which, what) for what in (RESET, NEW, BARE)]
        return [button for button in made if button is not None]

    def of_all(self) -> list[FillButton]:
        """Only where one tap is right for all four."""
        made = []
        if all(foot in self.last for foot in FEET_OF[ALL]):
            made.append(self.button(ALL, RESET, "All as last, reset"))
        if not self.shod:
            made.append(self.button(ALL, BARE, "Barefoot all round"))
        return [button for button in made if button is not None]

    def of_own(self, which: str) -> list[FillButton]:
        made = [
            self.button(which, f"{OWN}{number}", str(shoe.get("name", "")))
            for number, shoe in enumerate(self.own)
        ]
        return [button for button in made if button is not None]

    def _foot(self, foot: str, what: str) -> dict[str, str]:
        if what == BARE:
            shoe = "pulled" if foot in self.shod else "none"
            return dict.fromkeys(DETAILS, "") | {"shoe": shoe, "left": Shoeing.BAREFOOT.value}
        if what == NEW or (what == RESET and (foot in self.last or foot in self.shod)):
            if foot in self.last:
                return last_values(self.last[foot], what) | {"left": ""}
            return dict.fromkeys(DETAILS, "") | {"shoe": what, "left": ""}
        if what.startswith(OWN) and what[len(OWN) :] in map(str, range(len(self.own))):
            shoe_of = self.own[int(what[len(OWN) :])]
            return {name: str(shoe_of.get(name, "")) for name in DETAILS} | {
                "shoe": NEW,
                "left": "",
            }
        other, is_copy = what.removeprefix(f"{LIKE}-"), what.startswith(f"{LIKE}-")
        if is_copy and other in FEET_OF[ALL]:
            return {name: str(self.typed.get(f"{other}-{name}") or "") for name in COPIED}
        return {}


def typed_and_filled_in(
    typed: Mapping[str, Any], fills: Iterable[tuple[str, str]]
) -> dict[str, Any]:
    """What was typed so far, with what the pressed button fills in."""
    unticked: dict[str, Any] = {f"{foot}-trimmed": False for foot in FEET_OF[ALL]}
    return unticked | {"planned": False} | dict(typed) | dict(fills)
