"""The geometry of one chart: what to draw goes in, numbers rounded for SVG come out.

Pure: no Django, no clock. Values are in the unit that the reader sees. Every mark kind is one
path, so that a chart of a hundred readings stays small on the screen and quick on paper.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from measurements.chart_axes import date_ticks, value_range, value_ticks

BEFORE, AFTER, BETWEEN = "before", "after", "between"
Note = Literal["", "doubt", "corrected"]
LONE_DAY_PAD = timedelta(days=21)  # air round a single day; house default
HATCH_STEP = 7.0


@dataclass(frozen=True)
class Dot:
    """One reading: `kind` is its trim state, `cycle` the trim it stands on (None: not known).

    `note` is "doubt" for a reading to be measured again, "corrected" for one that no longer stands.
    """

    on: date
    value: float
    kind: str
    cycle: int | None = None
    note: Note = ""


@dataclass(frozen=True)
class Span:
    """A value on a day with its likely range (low <= value <= high)."""

    on: date
    value: float
    low: float
    high: float


@dataclass(frozen=True)
class TargetBand:
    """A target: its edges, the day it holds from, and the moment ("after" or "before" the trim)."""

    low: float
    high: float
    from_on: date
    moment: str
    words: str = ""


@dataclass(frozen=True)
class Chart:
    """Everything one chart shows. `key` makes the ids of the page unique; `unit` is written on it.

    `least_span` (> 0): the least range of values up the side, so that noise does not look large.
    """

    key: str
    title: str
    desc: str
    unit: str
    least_span: float
    dots: tuple[Dot, ...]
    trims: tuple[date, ...] = ()
    bands: tuple[TargetBand, ...] = ()
    level: tuple[Span, ...] = ()
    forecast: tuple[Span, ...] = ()
    until: date | None = None  # the axis reaches at least to this day


@dataclass(frozen=True)
class Size:
    """A canvas: outer size, margins (top, right, bottom, left) and how much is written on it."""

    name: str
    width: int
    height: int
    margins: tuple[int, int, int, int]
    text: float
    dot: float
    value_ticks: int
    date_ticks: int

    @property
    def is_small(self) -> bool:
        return self.value_ticks == 0


SMALL = Size("small", 160, 64, (5, 21, 12, 3), 10.5, 2.4, 0, 2)
PHONE = Size("phone", 380, 300, (26, 36, 42, 40), 15, 4.2, 5, 4)
LARGE = Size("large", 720, 320, (26, 44, 42, 46), 14, 4.2, 6, 9)


@dataclass(frozen=True)
class Text:
    x: str
    y: str
    text: str
    anchor: str = "middle"


@dataclass(frozen=True)
class BandShape:
    """One band: its area, the hatching inside it as one path, and its two edges as one path."""

    area: str
    hatch: str
    edges: str
    moment: str


@dataclass(frozen=True)
class Drawn:
    """What the template writes out. Every path is the `d` of one element; empty ones are left out."""

    id: str
    title: str
    desc: str
    size: Size
    frame: str
    grid: str
    trims: str
    bands: tuple[BandShape, ...]
    cycles: str
    level: str
    level_range: str
    forecast: str
    forecast_range: str
    before: str
    after: str
    between: str
    corrected: str
    doubt: str
    last: str
    value_labels: tuple[Text, ...]
    edge_labels: tuple[Text, ...]
    date_labels: tuple[Text, ...]
    unit_label: Text | None


class Plot:
    """Turns days and values into places on the canvas."""

    def __init__(self, chart: Chart, size: Size) -> None:
        top, right, bottom, left = size.margins
        self.left, self.right = float(left), float(size.width - right)
        self.top, self.bottom = float(top), float(size.height - bottom)
        self.first, self.last = _days_shown(chart)
        self.low, self.high = value_range(_values_shown(chart), chart.least_span)
        self._per_day = (self.right - self.left) / (self.last - self.first).days
        self._per_unit = (self.bottom - self.top) / (self.high - self.low)

    def x(self, on: date) -> float:
        days = (on - self.first).days
        return min(max(self.left + days * self._per_day, self.left), self.right)

    def y(self, value: float) -> float:
        """The height of a value; one off the scale stands at its edge."""
        return min(max(self.bottom - (value - self.low) * self._per_unit, self.top), self.bottom)

    def point(self, on: date, value: float) -> str:
        return f"{_n(self.x(on))} {_n(self.y(value))}"


def draw(chart: Chart, size: Size) -> Drawn:
    """Lays one chart out. `chart` needs at least one dot; readings may be in any order."""
    plot = Plot(chart, size)
    dots = sorted(chart.dots, key=lambda dot: (dot.on, dot.kind != BEFORE))
    standing = [dot for dot in dots if dot.note != "corrected"]
    radius = size.dot

    def marks(kind: str) -> str:
        return "".join(_MARKS[kind](plot, d, radius) for d in standing if d.kind == kind)

    def crosses(note: Note, reach: float) -> str:
        return "".join(_cross(plot, dot, reach) for dot in dots if dot.note == note)

    return Drawn(
        id=f"chart-{chart.key}-{size.name}",
        title=chart.title,
        desc=chart.desc,
        size=size,
        frame=f"M{_n(plot.left)} {_n(plot.bottom)}H{_n(plot.right)}",
        grid=_grid(plot, size),
        trims=_trims(plot, chart.trims, size),
        bands=tuple(_band(plot, band) for band in chart.bands if band.from_on <= plot.last),
        cycles=_cycles(plot, standing),
        level=_line(plot, chart.level),
        level_range=_range(plot, chart.level),
        forecast=_line(plot, chart.forecast),
        forecast_range=_range(plot, chart.forecast),
        before=marks(BEFORE),
        after=marks(AFTER),
        between=marks(BETWEEN),
        corrected=crosses("corrected", radius * 0.9),
        doubt=crosses("doubt", radius * 1.7),
        last=_ring(plot, standing[-1], radius * 1.9) if standing and size.is_small else "",
        value_labels=_value_labels(plot, size),
        edge_labels=_edge_labels(plot, chart.bands, size),
        date_labels=_date_labels(plot, size),
        unit_label=None if size.is_small else Text(_n(2), _n(size.text), chart.unit, "start"),
    )


def _n(number: float) -> str:
    return f"{number:.1f}".removesuffix(".0")


def _days_shown(chart: Chart) -> tuple[date, date]:
    days = [dot.on for dot in chart.dots] + [span.on for span in (*chart.level, *chart.forecast)]
    days += [chart.until] if chart.until else []
    first, last = min(days), max(days)
    return (first, last) if first < last else (first - LONE_DAY_PAD, last + LONE_DAY_PAD)


def _values_shown(chart: Chart) -> list[float]:
    """What the scale must hold: not the corrected readings, nor the far ends of a forecast."""
    standing = [dot.value for dot in chart.dots if dot.note != "corrected"]
    edges = [edge for band in chart.bands for edge in (band.low, band.high)]
    lines = [span.value for span in (*chart.level, *chart.forecast)]
    return [*standing, *edges, *lines] or [dot.value for dot in chart.dots]


def _circle(plot: Plot, dot: Dot, radius: float) -> str:
    r = _n(radius)
    start = f"{_n(plot.x(dot.on) - radius)} {_n(plot.y(dot.value))}"
    return f"M{start}a{r} {r} 0 1 0 {_n(2 * radius)} 0a{r} {r} 0 1 0 {_n(-2 * radius)} 0z"


def _diamond(plot: Plot, dot: Dot, radius: float) -> str:
    r, back = _n(radius), _n(-radius)
    start = f"{_n(plot.x(dot.on) - radius)} {_n(plot.y(dot.value))}"
    return f"M{start}l{r} {back} {r} {r} {back} {r}z"


_MARKS = {BEFORE: _circle, AFTER: _circle, BETWEEN: _diamond}


def _ring(plot: Plot, dot: Dot, radius: float) -> str:
    return _circle(plot, dot, radius)


def _cross(plot: Plot, dot: Dot, reach: float) -> str:
    x, y, across, back = plot.x(dot.on), plot.y(dot.value), _n(2 * reach), _n(-2 * reach)
    return f"M{_n(x - reach)} {_n(y - reach)}l{across} {across}m0 {back}l{back} {across}"


def _grid(plot: Plot, size: Size) -> str:
    ticks = value_ticks(plot.low, plot.high, size.value_ticks) if size.value_ticks else []
    return "".join(f"M{_n(plot.left)} {_n(plot.y(t.at))}H{_n(plot.right)}" for t in ticks)


def _trims(plot: Plot, trims: Iterable[date], size: Size) -> str:
    shown = [day for day in trims if plot.first <= day <= plot.last]
    top = plot.bottom - 5 if size.is_small else plot.top
    return "".join(f"M{_n(plot.x(day))} {_n(top)}V{_n(plot.bottom)}" for day in shown)


def _band(plot: Plot, band: TargetBand) -> BandShape:
    left, right = plot.x(max(band.from_on, plot.first)), plot.right
    top, bottom = plot.y(band.high), plot.y(band.low)
    across, down = f"M{_n(left)} {_n(top)}H{_n(right)}", f"M{_n(left)} {_n(bottom)}H{_n(right)}"
    area = f"{across}V{_n(bottom)}H{_n(left)}z"
    rising = band.moment == AFTER
    return BandShape(area, _hatch(left, right, top, bottom, rising), across + down, band.moment)


def _hatch(left: float, right: float, top: float, bottom: float, rising: bool) -> str:
    """Lines at 45 degrees, cut at the edges of the rectangle; the two moments lean apart."""
    height, found = bottom - top, []
    start = left - height + HATCH_STEP
    while start < right:
        x1, x2 = max(start, left), min(start + height, right)
        up1, up2 = x1 - start, x2 - start  # how far up the line is at either end
        ys = (bottom - up1, bottom - up2) if rising else (top + up1, top + up2)
        found.append(f"M{_n(x1)} {_n(ys[0])}L{_n(x2)} {_n(ys[1])}")
        start += HATCH_STEP
    return "".join(found)


def _cycles(plot: Plot, dots: Sequence[Dot]) -> str:
    """Joins the readings between two trims: the slope inside one is growth and wear."""
    cycles: dict[int, list[Dot]] = {}
    for dot in dots:
        if dot.cycle is not None and dot.note != "doubt":
            cycles.setdefault(dot.cycle, []).append(dot)
    joined = [[plot.point(d.on, d.value) for d in cycle] for cycle in cycles.values()]
    return "".join("M" + "L".join(points) for points in joined if len(points) > 1)


def _line(plot: Plot, spans: Sequence[Span]) -> str:
    points = [plot.point(span.on, span.value) for span in spans]
    return "M" + "L".join(points) if len(points) > 1 else ""


def _range(plot: Plot, spans: Sequence[Span]) -> str:
    if len(spans) < 2:
        return ""
    over = [plot.point(span.on, span.high) for span in spans]
    under = [plot.point(span.on, span.low) for span in reversed(spans)]
    return "M" + "L".join([*over, *under]) + "z"


def _value_labels(plot: Plot, size: Size) -> tuple[Text, ...]:
    ticks = value_ticks(plot.low, plot.high, size.value_ticks) if size.value_ticks else []
    x, drop = _n(plot.left - 6), size.text * 0.35
    return tuple(Text(x, _n(plot.y(tick.at) + drop), tick.text, "end") for tick in ticks)


def _edge_labels(plot: Plot, bands: Sequence[TargetBand], size: Size) -> tuple[Text, ...]:
    """The edges of the bands at the right, moved apart where they would lie on each other."""
    edges = sorted({edge for band in bands for edge in (band.low, band.high)})
    x, drop, found, floor = _n(plot.right + 3), size.text * 0.35, [], float("inf")
    for edge in edges:  # from the bottom up
        floor = min(plot.y(edge), floor - size.text)
        found.append(Text(x, _n(floor + drop), f"{edge:.2f}".rstrip("0").rstrip("."), "start"))
    return tuple(found)


def _date_labels(plot: Plot, size: Size) -> tuple[Text, ...]:
    if size.is_small:
        y = _n(size.height - 1.5)
        return (
            Text(_n(plot.left), y, f"{plot.first:%b %Y}", "start"),
            Text(_n(plot.right), y, f"{plot.last:%b %Y}", "end"),
        )
    found, y = [], plot.bottom + size.text + 4
    for tick in date_ticks(plot.first, plot.last, size.date_ticks):
        x = _n(plot.x(date.fromordinal(int(tick.at))))
        found.append(Text(x, _n(y), tick.text))
        found.append(Text(x, _n(y + size.text + 1), tick.below))
    return tuple(text for text in found if text.text)
