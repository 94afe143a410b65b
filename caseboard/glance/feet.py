"""The four feet at a glance: a word, a shape, the number in it and which way it goes."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from django.urls import reverse

from caseboard.board import Board
from caseboard.case_words import feet_of
from caseboard.glance.asks import ask_of
from caseboard.glance.headline import change_at_once, rate_a_year, yearly_words
from caseboard.glance.rows import Row
from horses.domain.shoe_state import FEET
from horses.models import Alert
from measurements.hoof.drift.priors import DRIFT_QUANTITIES
from measurements.hoof.drift.verdict import DriftState
from measurements.queries.numbers import Numbers
from measurements.rules.schedule import SILENT_AFTER
from measurements.verdicts.standing import Standing, standings_of
from measurements.wording import entered_words, size_words

SHOWN = "toe_angle"  # the number inside the foot: what is measured most. House default.
NO_CHANGE, CANNOT_TELL, NOT_LOOKED = "no change seen", "cannot tell yet", "not looked at yet"
NOT_MEASURED, LONG_AGO = "not measured", "no recent numbers"


class Tone(StrEnum):
    """How the foot is drawn: filled, with a thick line, a thin or a broken one."""

    NEEDS = "needs"
    KNOWN = "known"
    CALM = "calm"
    BLANK = "blank"


class Way(StrEnum):
    """The little mark before the way: a ramp, a level bar or two dashes."""

    DOWN = "down"
    UP = "up"
    LEVEL = "level"
    UNKNOWN = "unknown"
    NONE = ""


class Rim(StrEnum):
    """What is under the foot: a shoe, none, or one that was lost."""

    SHOD = "shod"
    BARE = "bare"
    LOST = "lost"
    UNSAID = ""


@dataclass(frozen=True)
class FootGlance:
    """One foot. `word` is the most urgent thing about it; `way_words` what its number does."""

    code: str
    word: str
    tone: Tone
    way: Way
    way_words: str
    value: str
    rim: Rim
    href: str

    @property
    def is_hind(self) -> bool:
        return self.code.endswith("H")


def feet_at_a_glance(board: Board, numbers: Numbers, rows: Iterable[Row]) -> list[FootGlance]:
    """The four feet, the left ones first; `rows` are this person's, most urgent first."""
    standings = standings_of(numbers) if board.numbers_are_looked_at else {}
    first = _first_words(rows)
    known = _known_words(board)
    return [_foot(board, numbers, foot, first, known, standings) for foot in FEET]


def _foot(
    board: Board,
    numbers: Numbers,
    foot: str,
    first: Mapping[str, str],
    known: Mapping[str, str],
    standings: Mapping[str, Standing],
) -> FootGlance:
    reading = numbers.latest(foot, SHOWN)
    standing = standings.get(foot, Standing.NONE)
    way, way_words = _way(board, numbers, foot, standing)
    measured = any(f == foot for f, _ in numbers.readings)
    if word := first.get(foot, ""):
        tone = Tone.NEEDS
        way, way_words = _if_it_moves(way, way_words)
    elif word := known.get(foot, ""):
        tone = Tone.KNOWN
    else:
        word, way_words = way_words or ("" if measured else NOT_MEASURED), ""
        tone = Tone.CALM if measured else Tone.BLANK
    return FootGlance(
        code=foot,
        word=word,
        tone=tone,
        way=way if measured else Way.NONE,
        way_words=way_words,
        value=entered_words(reading, board.access.person.length_unit) if reading else "",
        rim=_rim(board, foot),
        href=reverse("foot", args=[board.case.public_id, foot]),
    )


def _if_it_moves(way: Way, words: str) -> tuple[Way, str]:
    """Under something that needs a person "no change seen" would sound like a comfort."""
    return (way, words) if way in (Way.DOWN, Way.UP) else (Way.NONE, "")


def _first_words(rows: Iterable[Row]) -> dict[str, str]:
    words: dict[str, str] = {}
    for row in rows:
        for foot in row.feet if row.foot_word else ():
            words.setdefault(foot, row.foot_word)
    return words


def _known_words(board: Board) -> dict[str, str]:
    """What this person has answered, and is still so."""
    words: dict[str, str] = {}
    for matter in board.quiet:
        for foot in feet_of(matter.lead):
            words.setdefault(foot, f"{ask_of(matter.lead).foot_word}, known".lstrip(", "))
    return words


def _way(board: Board, numbers: Numbers, foot: str, standing: Standing) -> tuple[Way, str]:
    """Which way the angles go. Only an alert that stands says that they move; of a foot that nobody
    has measured for long nobody knows."""
    for alert in board.heavy:
        if foot in feet_of(alert) and (said := _moves(alert)):
            return said
    if standing is Standing.NONE:
        return Way.NONE, ""
    if standing is Standing.OLD:
        return Way.UNKNOWN, NOT_LOOKED
    if standing.state is DriftState.QUIET:
        return (
            (Way.UNKNOWN, LONG_AGO) if _is_silent(board, numbers, foot) else (Way.LEVEL, NO_CHANGE)
        )
    return Way.UNKNOWN, CANNOT_TELL


def _is_silent(board: Board, numbers: Numbers, foot: str) -> bool:
    newest = [reading.taken_on for q in DRIFT_QUANTITIES if (reading := numbers.latest(foot, q))]
    return not newest or board.today - max(newest) >= SILENT_AFTER


def _moves(alert: Alert) -> tuple[Way, str] | None:
    if found := rate_a_year(alert):
        quantity, yearly = found
        return (Way.DOWN if yearly < 0 else Way.UP), f"{yearly_words(quantity, yearly)} a year"
    if found := change_at_once(alert):
        quantity, change = found
        return (Way.DOWN if change < 0 else Way.UP), f"{size_words(quantity, change)} at once"
    return None


def _rim(board: Board, foot: str) -> Rim:
    state = board.shoes.feet.get(foot)
    if state is None:
        return Rim.UNSAID
    if state.lost_on:
        return Rim.LOST
    return Rim.SHOD if state.is_shod else Rim.BARE
