"""What two people write in one morning: who, what, about which horse, each with a word of its own."""

import random
from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True)
class Horses:
    """The farrier's come first."""

    farriers: int
    noted: int  # of them, the last: the owner's notes, flags and answers, and the farrier's
    owners: int  # of which the owner says that the farrier was there

    @property
    def answered(self) -> range:
        """Those with plan items."""
        return range(self.farriers - self.noted, self.farriers)


@dataclass
class Entry:
    word: str  # looked for on the board in the end; a number where there are no words to write
    who: str  # owner or farrier
    kind: str
    case: str
    item: str = ""  # of the plan
    value: str = ""  # measured
    picture: bool = False
    during: str = ""  # the cut it was written in
    shown: str = ""  # what the person saw

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


@dataclass(frozen=True)
class Amounts:
    """How many of each. Looks and visits: one a horse at most."""

    notes: tuple[int, int]  # the owner's, the farrier's
    flags: tuple[int, int]
    urgent: int
    looks: int
    agreed: int
    declined: int
    words: int
    visits: int
    readings: int
    horses: Horses


LONG = Amounts((38, 34), (16, 24), 4, 10, 14, 12, 6, 14, 28, Horses(14, 4, 6))
SHORT = Amounts((2, 1), (1, 1), 1, 1, 1, 1, 1, 1, 1, Horses(3, 2, 1))


def entries_of(found: dict[str, Any], amounts: Amounts, chance: random.Random) -> list[Entry]:
    """In the order in which they are written."""
    cases: list[str] = found["cases"]
    horses = amounts.horses
    noted = [cases[number] for number in horses.answered]
    items = [(case, item) for case, several in found["items"].items() for item in several]
    made: list[Entry] = []

    def add(who: str, kind: str, case: str, **more: Any) -> None:
        made.append(Entry(f"{kind}{len(made):03d}x", who, kind, case, **more))

    for who, notes, flags in zip(("owner", "farrier"), amounts.notes, amounts.flags, strict=True):
        for number in range(notes):
            add(who, "note", noted[number % horses.noted])
        for number in range(flags):
            add(who, "flag", noted[number % horses.noted], picture=number % 3 == 0)
    for number in range(amounts.urgent):
        add("owner", "urgent", noted[number % horses.noted])
    for number in range(amounts.looks):
        add("owner", "look", cases[number])
    for number in range(amounts.agreed + amounts.declined):
        case, item = items[number]
        add("owner", "agree" if number < amounts.agreed else "decline", case, item=item)
    for number in range(amounts.words):
        add("owner", "word", cases[horses.farriers + number])
    for number in range(amounts.visits):
        add("farrier", "visit", cases[number], value=f"{48 + number / 10:.1f}")
    for number in range(amounts.readings):
        foot = ("RF", "LH")[number // horses.farriers]
        add(
            "farrier",
            "reading",
            cases[number % horses.farriers],
            item=foot,
            value=f"{50 + number / 10:.1f}",
        )
    chance.shuffle(made)
    return made
