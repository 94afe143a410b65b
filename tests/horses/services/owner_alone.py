"""A year of one owner with ten horses and nobody else on the board, as it might go: each horse's life is
written ahead, and what the board must say on each day is told a second time, apart from the program."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random
from typing import NamedTuple

DAY = timedelta(days=1)
GRACE = 7  # days of grace after the interval; the program's own is in horses/domain/trim_cycle.py
INTERVALS = (35, 42, 49, 56)


class Act(NamedTuple):
    """What the owner does on one day about one horse."""

    what: str  # tell, plan, yes, no, moved, slip
    on: date | None = None
    next_on: date | None = None


@dataclass
class Life:
    """One horse: what its owner does when, and what follows from it."""

    interval: int
    acts: dict[date, list[Act]] = field(default_factory=lambda: defaultdict(list))
    last: date | None = None  # the last trim, as the owner said
    planned: date | None = None

    def did(self, act: Act) -> None:
        """The second telling of what each act means."""
        if act.what in ("plan", "moved"):
            self.planned = act.on
        elif act.what == "no":
            self.planned = None
        elif act.what in ("tell", "yes"):
            self.last, self.planned = act.on, act.next_on

    def asked(self, today: date) -> date | None:
        return self.planned if self.planned is not None and self.planned < today else None

    def is_overdue(self, today: date) -> bool:
        if self.planned is not None and self.planned >= today:
            return False
        since = max(filter(None, (self.last, self.asked(today))), default=None)
        return since is not None and (today - since).days > self.interval + GRACE

    def says(self, today: date) -> tuple[str, date | None]:
        """Where the horse is in its cycle, and the day it counts from or to."""
        if self.planned is not None and self.planned >= today:
            return "planned", self.planned
        if self.is_overdue(today):
            since = max(filter(None, (self.last, self.asked(today))))
            return "overdue", since + self.interval * DAY
        if (asked := self.asked(today)) is not None:
            return "asked", asked
        assert self.last is not None
        return "by the interval", self.last + self.interval * DAY


def life(chance: Random, first: date, end: date) -> Life:
    """The farrier comes; the owner says it at once, late or when asked; days are moved and missed."""
    made = Life(chance.choice(INTERVALS))
    came = first - chance.randrange(0, 20) * DAY
    planned = _named(chance, made, came, first)
    made.acts[first].append(Act("tell", came, planned))
    told = first
    while told <= end:
        told, came, planned = _cycle(chance, made, came, planned)
    return made


def _named(chance: Random, made: Life, came: date, told: date) -> date | None:
    """The next day, where one is named; it is always still to come."""
    if chance.random() < 0.25:
        return None
    return max(came + (made.interval + chance.randrange(-3, 4)) * DAY, told + DAY)


def _cycle(
    chance: Random, made: Life, came: date, planned: date | None
) -> tuple[date, date, date | None]:
    """One visit, from the day it was planned for to the day it was told."""
    if planned is None:
        came += (made.interval + chance.randrange(-5, 21)) * DAY
        return _tell(chance, made, came, came + chance.choice((0, 0, 1)) * DAY)
    how = chance.random()
    if how < 0.45:
        return _tell(chance, made, planned, planned)
    if how < 0.6:
        made.acts[planned].append(Act("slip", planned))
        return _tell(chance, made, planned, planned + DAY)
    said = planned + chance.randrange(1, 13) * DAY
    if how < 0.8:
        ahead = _named(chance, made, planned, said)
        made.acts[said].append(Act("yes", planned))
        made.acts[said] += [Act("plan", ahead)] if ahead else []
        return said, planned, ahead
    again = said + chance.randrange(1, 6) * DAY
    if how < 0.9:
        made.acts[said].append(Act("moved", again))
    else:
        made.acts[said] += [Act("no", planned), Act("plan", again)]
    return said, came, again


def _tell(chance: Random, made: Life, came: date, told: date) -> tuple[date, date, date | None]:
    ahead = _named(chance, made, came, told)
    made.acts[told].append(Act("tell", came, ahead))
    return told, came, ahead
