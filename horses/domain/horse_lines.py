"""Horses written one a line, with what is known of each: read by trade words. Pure.

    Pebble, 2015, barefoot, trimmed 3 Nov
    Otter, 11 yo gelding, shod all round 12/10
    Juno

The name is what stands before the first comma, or before the first thing that is understood.
What is not understood is kept word by word, so that nothing typed is lost.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date

from horses.domain.typed_days import day_typed
from horses.domain.wording import day_words

MOST_LINES = 60  # house default: a big yard, and a page that a phone still shows
LONGEST_NAME = 80
OLDEST_YEARS = 60  # house default: older than any horse on record
LONG_AGO_DAYS = 366  # house default: an older last trim is more often a slip of the year

ALL, FRONTS, HINDS = ("LF", "RF", "LH", "RH"), ("LF", "RF"), ("LH", "RH")
# Trade words for how a horse is shod, the longer ones first.
# "Behind" and "in front" alone say nothing of shoes: horses kick behind.
SHOD: tuple[tuple[str, tuple[str, ...]], ...] = (
    (r"(?:bare ?foot(?:ed)?|bare(?= *(?:[,;]|$))|unshod|no shoes|not shod)", ()),
    (
        r"(?:(?:shod|shoes) (?:in front|on the fronts?)|fronts(?: only)?|front shoes(?: only)?)",
        FRONTS,
    ),
    (r"(?:(?:shod|shoes) (?:behind|on the hinds?)|hinds(?: only)?|hind shoes(?: only)?)", HINDS),
    (r"(?:full set|(?:shod|shoes)(?: (?:on )?(?:all (?:round|around|four|fours)|all 4))?)", ALL),
)
SHOD_WORDS = {
    (): "barefoot",
    FRONTS: "front shoes",
    HINDS: "hind shoes only",
    ALL: "shod all round",
}
SEXES = ("mare", "gelding", "stallion", "filly", "colt")

DAY = (
    r"(?:today|yesterday|last week|(?:\d+|an?|one|two|three|four|five|six|seven|eight|nine|ten)"
    r" (?:day|week|month)s? ago|\d{4}-\d\d?-\d\d?|\d\d?[./]\d\d?(?:[./](?:\d{4}|\d\d))?\.?"
    r"|\d\d?(?:st|nd|rd|th)?(?: of)? [a-z]{3,9}\.?(?: \d{4})?"
    r"|[a-z]{3,9} \d\d?(?:st|nd|rd|th)?(?:,? \d{4})?|(?:last |on )?(?:mon|tues|wednes|thurs|fri|satur|sun)day)"
)
DONE = (
    r"(?:last (?:trim(?:med)?|shod|done|farrier|visit)|trim(?:med)?|trim done|done|farrier|reset)"
    r"(?: (?:last|on|was))?:?"
)
BORN = r"(?:born|b\.?|foaled|\*)(?: in| on)?:?"


@dataclass
class HorseLine:
    """One line as it was understood."""

    number: int
    text: str
    name: str = ""
    born_on: date | None = None
    born_words: str = ""
    sex: str = ""
    shod: tuple[str, ...] | None = None
    trimmed_on: date | None = None
    not_read: str = ""
    problems: list[str] = field(default_factory=list)  # it cannot be added like this
    doubts: list[str] = field(default_factory=list)  # it can, but somebody should look

    @property
    def understood(self) -> list[str]:
        said = [self.born_words, self.sex]
        if self.shod is not None:
            said.append(SHOD_WORDS[self.shod])
        if self.trimmed_on:
            said.append(f"last trimmed {day_words(self.trimmed_on)}")
        return [words for words in said if words]


def horse_lines(text: str, *, today: date) -> list[HorseLine]:
    """The lines that say something, each as it was understood, with doubts about the whole."""
    typed = [" ".join(line.split()) for line in text.splitlines()]
    lines = [_read(number, line, today) for number, line in enumerate(filter(None, typed), 1)]
    seen: set[str] = set()
    for line in lines:
        if line.name.casefold() in seen:
            line.doubts.append("This name stands here twice.")
        seen.add(line.name.casefold())
    return lines


def _read(number: int, text: str, today: date) -> HorseLine:
    line = HorseLine(number, text)
    name, comma, rest = _name_parted(text)
    line.name = name
    for take in (_take_born, _take_trim, _take_shod, _take_sex):
        rest = take(line, rest, today)
    left = re.sub(r"(?:^|[\s,;])(?:and|&|-|–)(?=[\s,;]|$)", " ", rest)
    pieces = (" ".join(part.strip(" .").split()) for part in re.split(r"[,;]", left))
    line.not_read = ", ".join(filter(None, pieces))
    if line.not_read:
        line.doubts.append(f"Not understood: “{line.not_read}”. It is kept under “Good to know”.")
    _check(line, today)
    return line


def _name_parted(text: str) -> tuple[str, str, str]:
    """The name, and what is said of it."""
    if found := re.search(r"\s*[,;\t:]\s*|\s+[-–]\s+", text):
        return text[: found.start()].strip(), found[0], text[found.end() :]
    first = text.find(" ")
    starts = [m.start() for p in _patterns() if (m := p.search(text, max(first, 0)))]
    if first < 0 or not starts:
        return text, "", ""
    cut = min(starts)
    return text[:cut].strip(), " ", text[cut:]


def _patterns() -> Iterator[re.Pattern[str]]:
    shod = "|".join(pattern for pattern, _ in SHOD)
    for pattern in (
        rf"{BORN} ?\d+",
        r"(?:19|20)\d\d\b",
        r"\d+ ?(?:yo|y/o|yrs?|years?)\b",
        rf"{DONE} {DAY}",
        shod,
        "|".join(SEXES),
    ):
        yield re.compile(rf"(?<=[\s]){_word(pattern)}", re.IGNORECASE)


def _word(pattern: str) -> str:
    return rf"(?<![\w/.])(?:{pattern})(?![\w/])"


def _take(pattern: str, rest: str) -> tuple[re.Match[str] | None, str]:
    found = re.search(_word(pattern), rest, re.IGNORECASE)
    if found is None:
        return None, rest
    return found, f"{rest[: found.start()]} {rest[found.end() :]}"


def _take_born(line: HorseLine, rest: str, today: date) -> str:
    found, left = _take(rf"{BORN} ?(?P<day>{DAY})", rest)
    if found and (day := day_typed(found["day"], today=today)):
        line.born_on, line.born_words = day, f"born {day_words(day)}"
        return left
    found, left = _take(rf"(?:{BORN} ?)?(?P<year>(?:19|20)\d\d)", rest)
    if found and not re.search(
        r"[a-z]{3,9}\.? $|[a-z]{3,9}\.?,? \d\d?(?:st|nd|rd|th)?,? $", rest[: found.start()], re.I
    ):
        line.born_on, line.born_words = date(int(found["year"]), 1, 1), f"born {found['year']}"
        return left
    found, left = _take(
        r"(?:aged? )?(?P<years>\d\d?) ?(?:yo|y/o|y\.?o\.?|yrs?|years?)(?: old)?", rest
    )
    if found:
        year = today.year - int(found["years"])
        line.born_on, line.born_words = date(year, 1, 1), f"born about {year}"
        return left
    return rest


def _take_trim(line: HorseLine, rest: str, today: date) -> str:
    shod = "|".join(pattern for pattern, _ in SHOD)
    for pattern in (rf"{DONE} (?P<day>{DAY})", rf"(?P<shod>{shod}) (?:on )?(?P<day>{DAY})"):
        found, left = _take(pattern, rest)
        if found is None:
            continue
        day = day_typed(found["day"], today=today)
        if day is None:
            line.problems.append(f"“{found['day']}” is not a day we can read.")
            return left
        line.trimmed_on = day
        # "shod 3 Nov" says both: with shoes, and when.
        return f"{left} {found.groupdict().get('shod') or ''}"
    return rest


def _take_shod(line: HorseLine, rest: str, today: date) -> str:
    for pattern, feet in SHOD:
        found, left = _take(pattern, rest)
        if found:
            line.shod = feet
            return left
    return rest


def _take_sex(line: HorseLine, rest: str, today: date) -> str:
    found, left = _take("|".join(SEXES), rest)
    if found:
        line.sex = found[0].lower()
    return left


def _check(line: HorseLine, today: date) -> None:
    if not line.name:
        line.problems.append("There is no name in this line.")
    if len(line.name) > LONGEST_NAME:
        line.problems.append(f"The name is longer than {LONGEST_NAME} letters.")
    if line.born_on and line.born_on > today:
        line.problems.append("The year of birth is still to come.")
    if line.born_on and line.born_on.year < today.year - OLDEST_YEARS:
        line.problems.append(f"Born more than {OLDEST_YEARS} years ago? Look at the year again.")
    if line.trimmed_on is None:
        return
    if line.trimmed_on > today:
        line.problems.append("The last trim is still to come.")
    if line.born_on and line.trimmed_on < line.born_on:
        line.problems.append("Trimmed before it was born? Look at the days again.")
    if (today - line.trimmed_on).days > LONG_AGO_DAYS:
        line.doubts.append("Trimmed more than a year ago? Look at the year again.")
