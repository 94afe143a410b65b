"""The readings of one series as a table: what the chart shows, for those who read it in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from measurements.hoof.quantities import (
    QUANTITIES,
    Z_95_TWO_SIDED,
    Method,
    RangeCheck,
    Shoeing,
    TrimState,
    range_check,
)
from measurements.hoof.units import format_entered
from measurements.models import Reading
from measurements.wording import entered_words, shown_unit, value_words


@dataclass(frozen=True)
class ReadingRow:
    """One reading. `struck` ones no longer stand, and `why` says so; others may be corrected."""

    public_id: str
    on: date
    value: str
    entered: str  # as it was entered, where that is another unit
    method: str
    moment: str
    shoeing: str
    who: str
    struck: bool
    why: str
    again: bool  # to be measured again
    counts: str  # how much it counts for the verdict, "" when there is none
    may_correct: bool
    picture: "PictureOf | None" = None  # the points it was reckoned from


@dataclass(frozen=True)
class PictureOf:
    case_id: str
    picture_id: str
    points_id: str


def reading_rows(
    readings: Sequence[Reading],
    *,
    length_unit: str,
    doubtful: frozenset[str],
    weights: Mapping[str, float],
    own: int | None,
) -> list[ReadingRow]:
    """Their rows, in their order. `own` is the person who may correct theirs, None for nobody."""
    return [_row(r, length_unit, doubtful, weights, own) for r in readings]


def later_of(reading: Reading) -> Reading | None:
    """The correction of a reading, which was fetched along with it."""
    return getattr(reading, "corrected_by", None)


def _row(
    reading: Reading,
    length_unit: str,
    doubtful: frozenset[str],
    weights: Mapping[str, float],
    own: int | None,
) -> ReadingRow:
    value = entered_words(reading, length_unit)
    entered = format_entered(reading.entered_value, reading.entered_unit)  # type: ignore[arg-type]
    later = later_of(reading)
    return ReadingRow(
        public_id=reading.public_id,
        on=reading.taken_on,
        value=value,
        entered="" if entered == value else entered,
        method=_method(reading, length_unit),
        moment=TrimState(reading.trim_state).label,
        shoeing=_shoeing(reading),
        who=_who(reading),
        struck=later is not None,
        why=_why(reading, later, length_unit),
        again=later is None and reading.public_id in doubtful,
        counts=_counts(weights.get(reading.public_id)),
        may_correct=later is None and own == reading.recorded_by_id,
        picture=_picture(reading),
    )


def _method(reading: Reading, length_unit: str) -> str:
    """ "photo with card, give or take 2.9°", where a reading has an error of its own."""
    label = Method(reading.method).label
    if reading.sd is None:
        return label
    unit = shown_unit(reading.quantity, length_unit)
    off = value_words(reading.quantity, Z_95_TWO_SIDED * float(reading.sd), unit)
    return f"{label}, give or take {off}"


def _picture(reading: Reading) -> PictureOf | None:
    points = reading.points
    if points is None:
        return None
    picture = points.picture
    return PictureOf(picture.case.public_id, picture.public_id, points.public_id)


def _shoeing(reading: Reading) -> str:
    """ "shod, measured with the shoe off"."""
    shod = Shoeing(reading.shoeing).label if reading.shoeing else ""
    then = f"measured with the {reading.get_shoe_then_display()}" if reading.shoe_then else ""
    return ", ".join(filter(None, (shod, then)))


def _who(reading: Reading) -> str:
    if reading.source == "import":
        return f"{reading.taken_by_name}, read in by {reading.recorded_by}"
    return reading.taken_by_name


def _why(reading: Reading, later: Reading | None, length_unit: str) -> str:
    if later is not None:
        done = "Taken off" if later.is_void else f"Corrected to {entered_words(later, length_unit)}"
        return f"{done} on {later.recorded_at:%-d %b %Y}: {later.correction_reason}"
    if reading.corrects is not None:
        return f"In the place of {entered_words(reading.corrects, length_unit)}."
    if reading.confirmed_odd and _is_unusual(reading):
        return "Unusual, and measured again."
    return ""


def _is_unusual(reading: Reading) -> bool:
    looks = range_check(QUANTITIES[reading.quantity], float(reading.value))
    return looks is not RangeCheck.FINE


def _counts(weight: float | None) -> str:
    if weight is None:
        return ""
    if weight >= 0.995:
        return "fully"
    return "under 1 %" if weight < 0.01 else f"{weight * 100:.0f} %"
