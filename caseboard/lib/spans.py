"""How many of a thing, and how long: the one place where a plural or a span of time is made. Pure."""

from datetime import timedelta

MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)


def one_or(number: float, one: str, many: str) -> str:
    """The word that goes with so many: "is" with 1, "are" with any other."""
    return one if number == 1 else many


def counted(number: float, one: str, many: str = "") -> str:
    """ "1 flag", "3 flags", "0 flags"; `many` where an s does not make it ("replies")."""
    return f"{number:g} {one_or(number, one, many or f'{one}s')}"


def days_words(days: int) -> str:
    """ "1 day", "12 days"."""
    return counted(days, "day")


def weeks_words(days: int) -> str:
    """ "7 weeks", "6 weeks and 3 days", "1 day": how trims are spaced, as people say it."""
    weeks, rest = divmod(days, 7)
    parts = [counted(n, unit) for n, unit in ((weeks, "week"), (rest, "day")) if n]
    return " and ".join(parts) or "0 days"


def waited_words(span: timedelta) -> str:
    """ "40 minutes", "1 hour", "2 days": in the largest unit of which there is a whole one."""
    if span >= DAY:
        return days_words(span // DAY)
    if span >= HOUR:
        return counted(span // HOUR, "hour")
    return counted(max(span // MINUTE, 0), "minute")


def roughly_words(days: int) -> str:
    """Days up to three weeks, then weeks, months, years: exact enough to talk about."""
    if days < 21:
        return days_words(days)
    if days < 84:
        return counted(round(days / 7), "week")
    if days < 730:
        return counted(round(days / 30.44), "month")
    return counted(round(days / 365.25), "year")


def age_words(months: int) -> str:
    """ "1 month", "23 months", "2 years": a young animal's age in months up to two years."""
    return counted(months, "month") if months < 24 else counted(months // 12, "year")
