"""The lines, areas and marks of a chart as SVG paths. Pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from measurements.charts.axes import Tick, end_ticks, value_range, value_ticks
from measurements.charts.model import (
    AFTER,
    ANY,
    BEFORE,
    BETWEEN,
    Chart,
    Dot,
    Size,
    Span,
    TargetBand,
)

LONE_DAY_PAD = timedelta(days=21)  # air round a single day; house default
SIDE_SHARE = 0.015  # of the days, left free at both sides; house default
HATCH_STEP = 7.0
OPEN_SIDE_SHARE = 0.3  # of the least range, shown beyond a lone edge; house default


@dataclass(frozen=True)
class BandShape:
    """One band: its area, the hatching inside it as one path, and its two edges as one path."""

    area: str
    hatch: str
    edges: str
    moment: str

    @property
    def is_before(self) -> bool:
        return self.moment == BEFORE


class Plot:
    """Turns days and values into places on the canvas."""

    def __init__(self, chart: Chart, size: Size) -> None:
        top, right, bottom, left = size.margins
        self.left, self.right = float(left), float(size.width - right)
        self.top, self.bottom = float(top), float(size.height - bottom)
        self.first_told, self.last_told = _days_told(chart)
        pad = (self.last_told - self.first_told) * SIDE_SHARE or LONE_DAY_PAD
        self.first, self.last = self.first_told - pad, self.last_told + pad
        self.low, self.high = value_range(_values_shown(chart), chart.least_span)
        self._per_day = (self.right - self.left) / max((self.last - self.first).days, 1)
        self._per_unit = (self.bottom - self.top) / (self.high - self.low)

    def x(self, on: date) -> float:
        days = (on - self.first).days
        return min(max(self.left + days * self._per_day, self.left), self.right)

    def y(self, value: float) -> float:
        """The height of a value; one off the scale stands at its edge."""
        return min(max(self.bottom - (value - self.low) * self._per_unit, self.top), self.bottom)

    def point(self, on: date, value: float) -> str:
        return f"{rounded(self.x(on))} {rounded(self.y(value))}"


def rounded(number: float) -> str:
    return f"{number:.1f}".removesuffix(".0")


def _days_told(chart: Chart) -> tuple[date, date]:
    days = [dot.on for dot in chart.dots] + [span.on for span in (*chart.level, *chart.forecast)]
    days += [day for day in (chart.since, chart.until) if day]
    return min(days), max(days)


def _values_shown(chart: Chart) -> list[float]:
    """What the scale must hold: not the corrected readings, nor the far ends of a forecast."""
    counting = [dot.value for dot in chart.dots if dot.note != "corrected"]
    edges = [value for band in chart.bands for value in _band_values(band, chart.least_span)]
    lines = [span.value for span in (*chart.level, *chart.forecast)]
    return [*counting, *edges, *lines] or [dot.value for dot in chart.dots]


def _band_values(band: TargetBand, least_span: float) -> list[float]:
    """The edges, and enough beyond a lone one to see on which side of it the band lies."""
    values = list(band.edges)
    if band.high is None:
        values.append(values[0] + least_span * OPEN_SIDE_SHARE)
    if band.low is None:
        values.append(values[0] - least_span * OPEN_SIDE_SHARE)
    return values


def circle(plot: Plot, dot: Dot, radius: float) -> str:
    r = rounded(radius)
    start = f"{rounded(plot.x(dot.on) - radius)} {rounded(plot.y(dot.value))}"
    return f"M{start}a{r} {r} 0 1 0 {rounded(2 * radius)} 0a{r} {r} 0 1 0 {rounded(-2 * radius)} 0z"


def diamond(plot: Plot, dot: Dot, radius: float) -> str:
    r, back = rounded(radius), rounded(-radius)
    start = f"{rounded(plot.x(dot.on) - radius)} {rounded(plot.y(dot.value))}"
    return f"M{start}l{r} {back} {r} {r} {back} {r}z"


MARKS = {BEFORE: circle, AFTER: circle, BETWEEN: diamond}


def cross(plot: Plot, dot: Dot, reach: float) -> str:
    x, y, across, back = plot.x(dot.on), plot.y(dot.value), rounded(2 * reach), rounded(-2 * reach)
    return f"M{rounded(x - reach)} {rounded(y - reach)}l{across} {across}m0 {back}l{back} {across}"


def grid(plot: Plot, size: Size) -> str:
    return "".join(
        f"M{rounded(plot.left)} {rounded(plot.y(t.at))}H{rounded(plot.right)}"
        for t in ticks_of(plot, size)
    )


def ticks_of(plot: Plot, size: Size) -> list[Tick]:
    """The values written up the side; none where there is no room for a scale."""
    if not size.value_ticks:
        return []
    if size.is_thin:
        return end_ticks(plot.low, plot.high)
    return value_ticks(plot.low, plot.high, size.value_ticks)


def trim_lines(plot: Plot, trims: Iterable[date], size: Size) -> str:
    shown = [day for day in trims if plot.first <= day <= plot.last]
    top = plot.bottom - 5 if size.is_small else plot.top
    return "".join(
        f"M{rounded(plot.x(day))} {rounded(top)}V{rounded(plot.bottom)}" for day in shown
    )


def band_shape(plot: Plot, band: TargetBand) -> BandShape:
    left, right = plot.x(max(band.from_on, plot.first)), plot.right
    top = plot.top if band.high is None else plot.y(band.high)
    bottom = plot.bottom if band.low is None else plot.y(band.low)
    start = f"M{rounded(left)} {rounded(top)}H{rounded(right)}"
    area = f"{start}V{rounded(bottom)}H{rounded(left)}z"
    edges = "".join(
        f"M{rounded(left)} {rounded(plot.y(edge))}H{rounded(right)}"
        for edge in reversed(band.edges)
    )
    leans = {AFTER: (True,), BEFORE: (False,), ANY: (True, False)}[band.moment]
    hatch = "".join(_hatch(left, right, top, bottom, rising) for rising in leans)
    return BandShape(area, hatch, edges, band.moment)


def _hatch(left: float, right: float, top: float, bottom: float, rising: bool) -> str:
    """Lines at 45 degrees, cut at the edges of the rectangle; the two moments lean apart."""
    height, found = bottom - top, []
    start = left - height + HATCH_STEP
    while start < right:
        x1, x2 = max(start, left), min(start + height, right)
        up1, up2 = x1 - start, x2 - start  # how far up the line is at either end
        ys = (bottom - up1, bottom - up2) if rising else (top + up1, top + up2)
        found.append(f"M{rounded(x1)} {rounded(ys[0])}L{rounded(x2)} {rounded(ys[1])}")
        start += HATCH_STEP
    return "".join(found)


def cycle_lines(plot: Plot, dots: Sequence[Dot]) -> str:
    """Joins the readings between two trims: the slope inside one is growth and wear."""
    cycles: dict[int, list[Dot]] = {}
    for dot in dots:
        if dot.cycle is not None and dot.note != "doubt":
            cycles.setdefault(dot.cycle, []).append(dot)
    joined = [[plot.point(d.on, d.value) for d in cycle] for cycle in cycles.values()]
    return "".join("M" + "L".join(points) for points in joined if len(points) > 1)


def line(plot: Plot, spans: Sequence[Span]) -> str:
    points = [plot.point(span.on, span.value) for span in spans]
    return "M" + "L".join(points) if len(points) > 1 else ""


def range_area(plot: Plot, spans: Sequence[Span]) -> str:
    if len(spans) < 2:
        return ""
    over = [plot.point(span.on, span.high) for span in spans]
    under = [plot.point(span.on, span.low) for span in reversed(spans)]
    return "M" + "L".join([*over, *under]) + "z"


def range_edges(plot: Plot, spans: Sequence[Span]) -> str:
    over = line(plot, [Span(s.on, s.high, s.high, s.high) for s in spans])
    under = line(plot, [Span(s.on, s.low, s.low, s.low) for s in spans])
    return over + under
