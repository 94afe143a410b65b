"""Which readings the shape rules are asked about: those of one foot, one day and one moment."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from measurements.hoof import shape
from measurements.hoof.feet import Foot, label
from measurements.hoof.quantities import BODY_WEIGHT, Method, error_sd
from measurements.hoof.shape_finding import Measured, ShapeFinding
from measurements.queries.films import film_findings, pair_findings
from measurements.queries.numbers import Numbers
from measurements.queries.reading_values import ReadingValue
from measurements.queries.repeats import reading_sd

PAIRS = (("LF", "RF", "front feet"), ("LH", "RH", "hind feet"))
MOMENTS = ("after", "between", "before")  # of one day, the trimmed foot is looked at first


@dataclass(frozen=True)
class ShapeSeen:
    """One finding with what it is about; `first_look` when there was nothing measured before."""

    subject: str
    foot_words: str
    finding: ShapeFinding
    readings: tuple[ReadingValue, ...]
    first_look: bool


def measured(reading: ReadingValue) -> Measured:
    return Measured(float(reading.value), reading_sd(reading, {}), Method(reading.method))


def _together(
    numbers: Numbers, *wanted: tuple[str, str]
) -> tuple[tuple[ReadingValue, ...], bool] | None:
    """The newest readings of all the wanted (foot, quantity) taken on one day at one moment.

    Also says whether that was the first such day.
    """
    by_moment = [
        {(r.taken_on, r.trim_state): r for r in numbers.readings.get(key, [])} for key in wanted
    ]
    shared = set.intersection(*(set(found) for found in by_moment))
    if not shared:
        return None
    newest = max(shared, key=lambda m: (m[0], -MOMENTS.index(m[1])))
    first: date = min(day for day, _ in shared)
    return tuple(found[newest] for found in by_moment), first == newest[0]


def shapes_seen(numbers: Numbers) -> Iterator[ShapeSeen]:
    """Every shape rule's finding on the newest fitting readings of the horse."""
    for foot in Foot:
        for rule, quantities in shape.OF_ONE_FOOT:
            yield from _asked(numbers, rule, foot.value, label(foot), quantities)
        if foot.value in ("LF", "RF"):
            yield from _weighed(numbers, foot)
        for shown, film in film_findings(numbers.readings, foot.value, measured):
            yield ShapeSeen(foot.value, label(foot), shown, (film,), _is_first(numbers, film))
    for left, right, words in PAIRS:
        for shown, films in pair_findings(numbers.readings, left, right, measured):
            first = all(_is_first(numbers, film) for film in films)
            yield ShapeSeen(f"{left}-{right}", words, shown, films, first)
        found = _together(numbers, (left, "toe_angle"), (right, "toe_angle"))
        if found and (finding := shape.uneven_pair(*(measured(r) for r in found[0]))):
            yield ShapeSeen(f"{left}-{right}", words, finding, *found)


def _asked(
    numbers: Numbers, rule: shape.Rule, foot: str, words: str, quantities: tuple[str, ...]
) -> Iterator[ShapeSeen]:
    found = _together(numbers, *((foot, quantity) for quantity in quantities))
    if found and (finding := rule(*(measured(r) for r in found[0]))):
        yield ShapeSeen(foot, words, finding, *found)


def _is_first(numbers: Numbers, film: ReadingValue) -> bool:
    return numbers.readings[film.foot, film.quantity][0].taken_on == film.taken_on


def _weighed(numbers: Numbers, foot: Foot) -> Iterator[ShapeSeen]:
    """The rules that need the horse's weight, for fore feet."""
    if numbers.weight_kg is None:
        return
    weight_kg = float(numbers.weight_kg)
    weight_sd = error_sd(BODY_WEIGHT, Method.TAPE)
    asked: tuple[tuple[str, shape.Rule], ...] = (
        ("coronary_circumference", lambda size: shape.small_feet(weight_kg, weight_sd, size)),
        ("toe_length", lambda length: shape.long_toe(length, weight_kg)),
    )
    for quantity, rule in asked:
        yield from _asked(numbers, rule, foot.value, label(foot), (quantity,))
