"""Which values the form of a visit offers: the person's own set, what the vet asks for, what was
measured lately, and the rest by name.

Decided 2026-11-29: a person's own few quantities stand open, all else is one tap away: with all of
them open the form was ten screens tall, and a value was found by searching for it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from horses.models import Role
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES, Moment, TrimState
from measurements.models import VisitSetup
from measurements.panels.offered import RECENT, needs_radiograph
from measurements.queries.numbers import Numbers

FEET = tuple(foot.value for foot in Foot)
BEFORE, AFTER = TrimState.BEFORE.value, TrimState.AFTER.value
MOMENTS = (BEFORE, AFTER)
# Without a choice of the person's own. House default.
USUAL_MEASURED = ("toe_angle-after", "toe_length-after")


@dataclass(frozen=True)
class Row:
    """One quantity at one moment, on the feet it is offered for."""

    quantity: str
    moment: str
    feet: tuple[str, ...]
    asked: bool = False  # by the vet

    @property
    def key(self) -> str:
        return f"{self.quantity}-{self.moment}"


@dataclass(frozen=True)
class VisitSet:
    """The rows in the order of the form."""

    own: tuple[Row, ...]
    lately: tuple[Row, ...]
    rest: tuple[Row, ...]

    def quantities(self, *more: Row) -> tuple[str, ...]:
        """Those of the rows shown, once each, as the house orders them."""
        shown = {row.quantity for row in (*self.own, *more)}
        return tuple(key for key in QUANTITIES if key in shown)


def every_key() -> list[str]:
    """All quantities at both moments, in the order of the form."""
    return [f"{quantity}-{moment}" for quantity in QUANTITIES for moment in MOMENTS]


def measured_by(setup: VisitSetup | None) -> tuple[str, ...]:
    known = set(every_key())
    chosen = tuple(key for key in (setup.measured if setup else ()) if key in known)
    return chosen if setup else USUAL_MEASURED


def feet_of(setup: VisitSetup | None) -> tuple[str, ...]:
    chosen = setup.feet if setup else ()
    return tuple(foot for foot in FEET if foot in chosen) or FEET


def visit_set(numbers: Numbers, setup: VisitSetup | None, role: str, today: date) -> VisitSet:
    """What is offered at first goes in front whatever was measured before; what only a radiograph
    shows, for a vet alone."""
    asked = _asked(numbers)
    mine, feet = measured_by(setup), feet_of(setup)
    lately = _lately(numbers, today)
    own, recent, rest = [], [], []
    for key in every_key():
        quantity, _, moment = key.partition("-")
        on = tuple(foot for foot in FEET if Foot(foot) in QUANTITIES[quantity].feet)
        filmed = needs_radiograph(QUANTITIES[quantity]) and role != Role.VET
        by_vet = asked.get(key, frozenset()) if not filmed else frozenset()
        first = tuple(f for f in on if f in by_vet or (key in mine and f in feet))
        if first:
            own.append(Row(quantity, moment, first, asked=bool(by_vet)))
        others = tuple(foot for foot in on if foot not in first)
        if others and key in lately and not filmed:
            recent.append(Row(quantity, moment, others))
        elif others:
            rest.append(Row(quantity, moment, others))
    return VisitSet(tuple(own), tuple(recent), tuple(rest))


def rows_named(keys: Iterable[str], among: Iterable[Row]) -> list[Row]:
    """Those of the rows that were asked for by name."""
    wanted = set(keys)
    return [row for row in among if row.key in wanted]


def _asked(numbers: Numbers) -> Mapping[str, frozenset[str]]:
    """By key, the feet for which a band of the vet is in force; one for any time asks for the value
    after the trim."""
    found: dict[str, set[str]] = {}
    for (foot, quantity), targets in numbers.targets.items():
        for target in targets:
            if target.set_role == Role.VET:
                moment = BEFORE if target.moment == Moment.END_OF_CYCLE else AFTER
                found.setdefault(f"{quantity}-{moment}", set()).add(foot)
    return {key: frozenset(feet) for key, feet in found.items()}


def _lately(numbers: Numbers, today: date) -> set[str]:
    """What was measured in the last year or so, by key; a value between two trims is no "after"."""
    found = set()
    for (_, quantity), rows in numbers.readings.items():
        for row in reversed(rows):
            if row.taken_on < today - RECENT:
                break
            found.add(f"{quantity}-{AFTER if row.trim_state == AFTER else BEFORE}")
    return found
