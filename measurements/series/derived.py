"""Series that follow from two measured ones: toe less heel, hoof less pastern, left less right."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from measurements.charts.draw import Chart, Dot
from measurements.hoof.feet import Foot, partner
from measurements.hoof.quantities import QUANTITIES
from measurements.hoof.units import from_base
from measurements.queries.numbers import Numbers
from measurements.queries.reading_values import ReadingValue
from measurements.series.chart import LEAST_SPAN
from measurements.wording import shown_unit

Rows = dict[tuple[date, str], float]


@dataclass(frozen=True)
class Derived:
    """`first` less `second`, of readings of one day and moment."""

    key: str
    label: str
    first: str
    second: str
    of_pair: bool = False  # the second is the same quantity of the other foot


DERIVED = (
    Derived("toe_less_heel", "toe angle less heel angle", "toe_angle", "heel_angle"),
    Derived("hoof_less_pastern", "hoof less pastern", "toe_angle", "pastern_angle"),
    Derived("left_less_right", "toe angle, left less right", "toe_angle", "toe_angle", True),
    Derived(
        "inside_less_outside",
        "heel length, inside less outside",
        "heel_length_medial",
        "heel_length_lateral",
    ),
)


def derived_charts(
    numbers: Numbers, foot: str, *, length_unit: str, span: tuple[date, date]
) -> list[tuple[Derived, Chart]]:
    """Those that can be drawn: at least two days on which both were measured."""
    found = []
    for one in DERIVED:
        dots = _dots(numbers, foot, one, shown_unit(one.first, length_unit))
        if len({dot.on for dot in dots}) > 1:
            found.append((one, _chart(numbers, foot, one, dots, span, length_unit)))
    return found


def _chart(
    numbers: Numbers,
    foot: str,
    one: Derived,
    dots: tuple[Dot, ...],
    span: tuple[date, date],
    length_unit: str,
) -> Chart:
    unit = shown_unit(one.first, length_unit)
    return Chart(
        key=f"{foot}-{one.key}".lower(),
        title=f"{one.label.capitalize()} over time",
        desc=f"{len(dots)} days or moments on which both were measured.",
        unit="degrees" if unit == "deg" else unit,
        least_span=LEAST_SPAN[QUANTITIES[one.first].unit],
        dots=dots,
        trims=tuple(day for day in numbers.trim_days(foot) if day >= span[0]),
        since=span[0],
        until=span[1],
    )


def _dots(numbers: Numbers, foot: str, one: Derived, unit: str) -> tuple[Dot, ...]:
    """On the left foot's page and on the right one's it is the same difference."""
    other = partner(Foot(foot)).value if one.of_pair else foot
    left, right = (foot, other) if foot.startswith("L") else (other, foot)
    first = _by_moment(numbers.readings.get((left if one.of_pair else foot, one.first), []))
    second = _by_moment(numbers.readings.get((right if one.of_pair else foot, one.second), []))
    shown = _shown(unit)
    return tuple(
        Dot(on, shown(first[on, state] - second[on, state]), state)
        for on, state in sorted(first.keys() & second.keys())
    )


def _shown(unit: str) -> Callable[[float], float]:
    if unit in ("deg", "mm"):
        return float
    per_mm = float(from_base(1000, unit)) / 1000  # type: ignore[arg-type]
    return lambda value: value * per_mm


def _by_moment(rows: list[ReadingValue]) -> Rows:
    return {(row.taken_on, row.trim_state): float(row.value) for row in rows}
