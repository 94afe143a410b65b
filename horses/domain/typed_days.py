"""A day as people type it in a line: "3 Nov", "12/10", "6 weeks ago", "Tuesday". Pure.

A day without a year is the last one that has been. Day before month, as the forms have it.
"""

import re
from datetime import date, timedelta

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
DAYS = {"day": 1, "week": 7, "month": 30}  # "a month ago" is about 30 days
CENTURY = 2000


def day_typed(text: str, *, today: date) -> date | None:
    """None for what is no day."""
    words = " ".join(text.casefold().replace(",", " ").split())
    return (
        _near(words, today)
        or _ago(words, today)
        or _in_figures(words, today)
        or _named(words, today)
    )


def _near(words: str, today: date) -> date | None:
    back = {"today": 0, "yesterday": 1, "last week": 7}
    if words in back:
        return today - timedelta(days=back[words])
    found = re.fullmatch(r"(?:last |on )?([a-z]{3})[a-z]*day", words)
    if found is None or found[1] not in WEEKDAYS:
        return None
    days = (today.weekday() - WEEKDAYS.index(found[1])) % 7 or 7
    return today - timedelta(days=days)


def _ago(words: str, today: date) -> date | None:
    found = re.fullmatch(r"(\d{1,3}|[a-z]+) (day|week|month)s? ago", words)
    if found is None:
        return None
    count = _number(found[1])
    return today - timedelta(days=count * DAYS[found[2]]) if count else None


def _number(word: str) -> int:
    if word.isdigit():
        return int(word)
    if word in ("a", "an"):
        return 1
    return NUMBERS.index(word) + 1 if word in NUMBERS else 0


def _in_figures(words: str, today: date) -> date | None:
    if found := re.fullmatch(r"(\d{4})-(\d\d?)-(\d\d?)", words):
        return _day(int(found[1]), int(found[2]), int(found[3]))
    if found := re.fullmatch(r"(\d\d?)[./](\d\d?)(?:[./](\d{4}|\d\d))?\.?", words):
        return _with_year(int(found[1]), int(found[2]), found[3], today)
    return None


def _named(words: str, today: date) -> date | None:
    day_first = re.fullmatch(
        r"(\d\d?)(?:st|nd|rd|th)?(?: of)? ([a-z]{3})[a-z]*\.?(?: (\d{4}))?", words
    )
    month_first = re.fullmatch(r"([a-z]{3})[a-z]*\.? (\d\d?)(?:st|nd|rd|th)?(?: (\d{4}))?", words)
    if day_first and day_first[2] in MONTHS:
        return _with_year(int(day_first[1]), MONTHS.index(day_first[2]) + 1, day_first[3], today)
    if month_first and month_first[1] in MONTHS:
        month = MONTHS.index(month_first[1]) + 1
        return _with_year(int(month_first[2]), month, month_first[3], today)
    return None


def _with_year(day: int, month: int, year: str | None, today: date) -> date | None:
    if year:
        return _day(int(year) if len(year) > 2 else CENTURY + int(year), month, day)
    this_year = _day(today.year, month, day)
    if this_year is not None and this_year <= today:
        return this_year
    return _day(today.year - 1, month, day)


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
