"""Young horses: when the farrier should look, and until when to act on which joint. Pure.

Sources disagree on the first look and on how often; none of them is made the truth here. The team
picks one for the horse, and every day shown says whose rule it comes from.
"""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta

from caseboard.lib.spans import counted, days_words

YOUNG_UNTIL_DAYS = 730  # house default: from two years on it is shod or trimmed like a grown horse
# Common practice, no source: foals are mostly weaned at about six months.
WEANED_AT_MONTHS = 6
AFTER_WEANING_DAYS = 49  # common practice, no source: every 6 to 8 weeks after weaning


@dataclass(frozen=True)
class Schedule:
    """One published way of looking after a foal's feet."""

    key: str
    label: str
    first_days: int  # the first look, days after birth
    before_weaning_days: int
    source: str
    after_weaning_days: int = AFTER_WEANING_DAYS

    @property
    def words(self) -> str:
        return (
            f"first look {_span(self.first_days)} after birth, then every "
            f"{_span(self.before_weaning_days)} to weaning, every 6 to 8 weeks after"
        )


SCHEDULES: dict[str, Schedule] = {
    schedule.key: schedule
    for schedule in (
        Schedule(
            "early",
            "Early: first look within two weeks",
            14,
            28,
            "first look at 1 to 2 weeks: Utah State University Extension AG/Equine/2006-03; "
            "every 4 weeks: Greet, WEVA 2008",
        ),
        Schedule(
            "four_weeks",
            "First look at four weeks",
            28,
            28,
            "Greet, WEVA 2008: at 4 weeks, then every 4 weeks",
        ),
        Schedule(
            "month",
            "First look at a month, then often",
            30,
            21,
            "first look at 1 month: Curtis, 2017; every 3 weeks: the foals of a study, Curtis 2014",
        ),
    )
}
USUAL_SCHEDULE = "early"  # house default: looking early costs nothing and misses nothing


def _span(days: int) -> str:
    weeks, rest = divmod(days, 7)
    if rest or weeks < 1:
        return days_words(days)
    return counted(weeks, "week")


def schedule_of(key: str) -> Schedule:
    return SCHEDULES.get(key, SCHEDULES[USUAL_SCHEDULE])


def months_after(day: date, months: int) -> date:
    """The same day some months later, or the month's last when it has no such day."""
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def is_young(born_on: date | None, on: date) -> bool:
    return born_on is not None and 0 <= (on - born_on).days < YOUNG_UNTIL_DAYS


def weaning_on(born_on: date, weaned_on: date | None) -> date:
    return weaned_on or months_after(born_on, WEANED_AT_MONTHS)


def young_interval_days(key: str, born_on: date, weaned_on: date | None, on: date) -> int:
    """Days from a look on `on` to the next one."""
    schedule = schedule_of(key)
    if on < weaning_on(born_on, weaned_on):
        return schedule.before_weaning_days
    return schedule.after_weaning_days


def looks_ahead(
    key: str, born_on: date, weaned_on: date | None, *, last_look: date | None, until: date
) -> list[date]:
    """The looks that the schedule asks for after the last one, up to `until`."""
    day = (
        born_on + timedelta(days=schedule_of(key).first_days)
        if last_look is None
        else last_look + timedelta(days=young_interval_days(key, born_on, weaned_on, last_look))
    )
    days = []
    while day <= until:
        days.append(day)
        day += timedelta(days=young_interval_days(key, born_on, weaned_on, day))
    return days


@dataclass(frozen=True)
class Window:
    """Until when a vet can still act on one joint's growth, as days of this foal.

    That is not the end of growth: the plates close later, as a radiograph shows them. Plan by the
    earlier of the two.
    """

    joint: str
    until: date
    about: str  # "about 100 days"
    source: str
    grows_on: str  # what is published of the end of growth, with its source

    def state(self, today: date) -> str:
        days = (self.until - today).days
        if days < 0:
            return "past"
        return "closing" if days <= CLOSING_DAYS else "open"

    def is_closing(self, today: date) -> bool:
        return self.state(today) == "closing"

    def words(self, today: date) -> str:
        days = (self.until - today).days
        if days < 0:
            return (
                f"The usual time to act on the {self.joint} ended on {_day(self.until)} "
                f"({self.about}). {self.grows_on} Ask the vet what can still be done."
            )
        left = "today is the last day" if not days else f"{days_words(days)} left"
        return (
            f"The time to act on the {self.joint} ends at {self.about}, {_day(self.until)}: {left}. "
            f"If it does not stand straight, ask the vet now. {self.grows_on}"
        )


CLOSING_DAYS = 21  # house default: time enough to get a vet there before the day
FETLOCK_DAYS = 100  # Ducharme (Cornell), conference: growth there is done by about 100 days
CARPUS_MONTHS = 6  # from memory: act before six months; useful growth of the radius to 8 to 12
HOCK_MONTHS = 12  # Ducharme (Cornell), conference: mostly done by 12 months, closed at 14
# When the plates close, which is later than useful growth: Strand et al., Acta Vet
# Scand 2007;49:19 (64 Icelandic horses); fillies' cannon bones, Rev Complutense Cienc Vet 2009.
FETLOCK_GROWS_ON = (
    "At 6 to 9 months a quarter of the growth plates above it were closed, in 19 fillies."
)
CARPUS_GROWS_ON = "The growth plate above it closes at about 27 to 32 months, in Icelandic horses."
HOCK_GROWS_ON = "Its growth plates close at about 14 months."
NO_CORRECTION_AFTER_MONTHS = 12  # Utah State University Extension AG/Equine/2006-03


def windows_of(born_on: date) -> tuple[Window, ...]:
    """Fetlock, carpus and hock, the earliest first. Published days mix useful growth and what a
    radiograph shows; the earlier counts here, and the later is said."""
    said = "Ducharme, conference paper (Cornell)"
    return (
        Window(
            "fetlock",
            born_on + timedelta(days=FETLOCK_DAYS),
            "about 100 days",
            f"{said}; Rev Complutense Cienc Vet 2009",
            FETLOCK_GROWS_ON,
        ),
        Window(
            "carpus (knee)",
            months_after(born_on, CARPUS_MONTHS),
            "about 6 months",
            "time to act: from memory, no source; growth plate: Strand et al., Acta Vet Scand "
            "2007;49:19",
            CARPUS_GROWS_ON,
        ),
        Window("hock", months_after(born_on, HOCK_MONTHS), "about 12 months", said, HOCK_GROWS_ON),
    )


def correction_words(born_on: date, today: date) -> str:
    """What is published on correcting a limb by trimming, when the horse is past that age."""
    if today < months_after(born_on, NO_CORRECTION_AFTER_MONTHS):
        return ""
    return (
        "After the first year, trimming to correct a limb does more harm than help "
        "(Utah State University Extension AG/Equine/2006-03)."
    )


def _day(day: date) -> str:
    return f"{day:%-d %b} {day.year}"
