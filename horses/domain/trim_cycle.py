"""The time between two trims, whose word it is, and whether a horse is due. Pure: no queries.

`CareOf` is what it needs to know of a horse; a row of the database has it all.

Decided 2026-11: a vet's order comes before a young horse's age, and that before weeks of the
team's. The horse's row holds whose word it is; sources that disagree are shown side by side and the
team picks one.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Protocol

from caseboard.lib.spans import days_words, weeks_words
from horses.domain.foals import is_young, schedule_of, young_interval_days
from horses.domain.wording import day_words

# Common practice, no source: hooves grow slower in the cold, so that up to a week or two more is
# usual from November to February.
WINTER_MONTHS = frozenset({11, 12, 1, 2})
SOON_DAYS = 10  # house default: time enough to find a day with a farrier
# House default: a week after the interval has run out, "due" becomes "overdue".
GRACE_DAYS = 7

LATER, SOON, DUE, OVERDUE, ASKED, UNKNOWN, RESTING = (
    "later",
    "soon",
    "due",
    "overdue",
    "asked",
    "unknown",
    "resting",
)
STATE_WORDS = {
    LATER: "not due yet",
    SOON: "due soon",
    DUE: "due",
    OVERDUE: "overdue",
    ASKED: "did the visit take place?",
    UNKNOWN: "no trim known",
    RESTING: "resting",
}


class CareOf(Protocol):
    born_on: date | None
    use: str
    state: str
    interval_days: int
    interval_winter_days: int | None
    interval_basis: str
    interval_by_name: str
    interval_by_role: str
    interval_set_on: date | None
    interval_why: str
    young_schedule: str
    weaned_on: date | None


@dataclass(frozen=True)
class Interval:
    """How many days, and why so many: who set it, or by whose rule. Published sources stand where
    one chooses, not in the value of a field."""

    days: int
    source: str
    is_set: bool = True

    @property
    def words(self) -> str:
        if not self.is_set:
            return f"not set; every {weeks_words(self.days)} assumed"
        return f"{weeks_words(self.days)} ({self.source})"


def interval_on(horse: CareOf, on: date) -> Interval:
    """The time from a trim on `on` to the next. A vet's order comes before everything else."""
    if horse.interval_basis == "vet":
        return Interval(horse.interval_days, f"the vet's order, {_by(horse)}")
    by_age = horse.interval_basis in ("age", "default") and is_young(horse.born_on, on)
    if by_age and horse.born_on is not None:
        days = young_interval_days(horse.young_schedule, horse.born_on, horse.weaned_on, on)
        return Interval(days, "by age")
    if horse.interval_winter_days and on.month in WINTER_MONTHS:
        return Interval(horse.interval_winter_days, f"in winter, set by {_by(horse)}")
    if horse.interval_basis == "default":
        # 6 to 8 weeks: common practice, no source.
        return Interval(horse.interval_days, "", is_set=False)
    return Interval(horse.interval_days, f"set by {_by(horse)}")


def _by(horse: CareOf) -> str:
    who = horse.interval_by_name or "the team"
    role = f" ({horse.interval_by_role})" if horse.interval_by_role else ""
    day = f", {day_words(horse.interval_set_on)}" if horse.interval_set_on else ""
    return f"{who}{role}{day}"


def due_on(horse: CareOf, last_trim_on: date | None) -> date | None:
    """When the next trim is due by the interval; a foal's first look counts from its birth."""
    if last_trim_on is not None:
        return last_trim_on + timedelta(days=interval_on(horse, last_trim_on).days)
    if horse.born_on is not None and horse.interval_basis in ("age", "default"):
        schedule = schedule_of(horse.young_schedule)
        return horse.born_on + timedelta(days=schedule.first_days)
    return None


@dataclass(frozen=True)
class Due:
    """Where a horse is in its cycle: the state, its day, and the days from today to it."""

    state: str
    on: date | None = None
    days: int = 0
    planned: bool = False

    @property
    def is_overdue(self) -> bool:
        return self.state == OVERDUE

    @property
    def is_asked(self) -> bool:
        """A visit was planned, its day has passed, and nobody has said whether it took place."""
        return self.state == ASKED

    @property
    def is_due(self) -> bool:
        return self.state == DUE

    @property
    def is_soon(self) -> bool:
        return self.state == SOON

    @property
    def label(self) -> str:
        """ "Overdue"; a planned day that is not near is just planned."""
        words = (
            "planned" if self.planned and self.state in (LATER, SOON) else STATE_WORDS[self.state]
        )
        return words[:1].upper() + words[1:]

    @property
    def words(self) -> str:
        """ "overdue by 12 days", "due in 5 days, not planned yet", "planned in 3 weeks"."""
        if self.on is None:
            return STATE_WORDS[self.state]
        if self.state == ASKED:
            return f"planned {_days(-self.days)} ago: did it take place?"
        if self.planned:
            return "planned for today" if not self.days else f"planned in {_days(self.days)}"
        if self.days < 0:
            late = _days(-self.days)
            return f"overdue by {late}" if self.state == OVERDUE else f"due {late} ago"
        when = "due today" if not self.days else f"due in {_days(self.days)}"
        return f"{when}, not planned yet"


def due_for(
    horse: CareOf,
    *,
    today: date,
    planned_on: date | None,
    last_trim_on: date | None,
    asked_on: date | None = None,
) -> Due:
    """What the calendar says of one horse. A planned day comes before the interval.

    `asked_on`: a visit was planned for this day, it has passed, and nobody has said whether it took
    place. Nothing is held against anybody for that: the horse is overdue only where it would be even
    if the visit had been.
    """
    if horse.state != "active":
        return Due(RESTING)
    if planned_on is not None and planned_on < today:
        planned_on, asked_on = None, _latest(planned_on, asked_on)
    if planned_on is not None:
        days = (planned_on - today).days
        return Due(_state_before(days), planned_on, days, planned=True)
    if asked_on is not None and not is_over(horse, today, last_trim_on, asked_on):
        return Due(ASKED, asked_on, (asked_on - today).days)
    since = _latest(last_trim_on, asked_on)
    on = due_on(horse, since)
    if on is None or (since is None and not is_young(horse.born_on, today)):
        return Due(UNKNOWN)
    days = (on - today).days
    return Due(OVERDUE if days < -GRACE_DAYS else _state_before(days), on, days)


def _state_before(days: int) -> str:
    return DUE if days <= 0 else SOON if days <= SOON_DAYS else LATER


def _latest(*days: date | None) -> date | None:
    return max((day for day in days if day is not None), default=None)


def is_over(
    horse: CareOf, today: date, last_trim_on: date | None, asked_on: date | None = None
) -> bool:
    """The interval and its grace are over, even if a visit that nobody has spoken of took place."""
    since = _latest(last_trim_on, asked_on)
    due = due_on(horse, since) if since else None
    return due is not None and (today - due).days > GRACE_DAYS


def _days(number: int) -> str:
    if number >= 28:
        return weeks_words(number)
    return days_words(number)


# -- what others do: shown beside the choice, never chosen for anybody


@dataclass(frozen=True)
class Usual:
    words: str
    weeks: str
    source: str
    fits: bool = False


def usual_intervals(horse: CareOf, today: date) -> list[Usual]:
    """The published and the customary, with a mark at those that speak of a horse like this."""
    young, winter = is_young(horse.born_on, today), today.month in WINTER_MONTHS
    grown = not young
    worked = horse.use in ("ridden", "sport", "school", "driven")
    return [
        Usual("a foal up to weaning", "3 to 4", "Greet, WEVA 2008; Curtis 2014", young),
        Usual("a young horse after weaning", "6 to 8", "common practice, no source", young),
        Usual(
            "a riding horse",
            "4 to 6, no more than 6",
            "Lesniak et al., Animals 2017;7:29",
            grown and worked,
        ),
        Usual("a grown horse", "6 to 8", "common practice, no source", grown),
        Usual("barefoot, kept by trimming", "6", "Clayton et al., Aust Vet J 2011;89:305-311"),
        Usual("in winter", "up to 8", "common practice, no source", winter and grown),
        Usual("after laminitis, by the vet's order", "4 to 5", "common practice, no source"),
    ]
