"""The geometry of one chart: what to draw goes in, numbers rounded for SVG come out.

Pure: no Django, no clock. Values are in the unit that the reader sees. Every mark kind is one
path, so that a chart of a hundred readings stays small on the screen and quick on paper.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from measurements.charts import paths as paths
from measurements.charts.axes import date_ticks
from measurements.charts.model import (
    AFTER,
    BEFORE,
    BETWEEN,
    LADDER,
    LARGE,
    PHONE,
    Chart,
    Dot,
    Note,
    Size,
    Span,
    TargetBand,
)
from measurements.charts.paths import BandShape, Plot, rounded

__all__ = [
    "AFTER",
    "BEFORE",
    "BETWEEN",
    "LADDER",
    "LARGE",
    "PHONE",
    "BandShape",
    "Chart",
    "Dot",
    "Drawn",
    "Note",
    "Size",
    "Span",
    "TargetBand",
    "Text",
    "draw",
]

# Of the text size: the widest month and year, "Mar 2026", in the fonts used; house default.
LETTER_WIDTH = 0.56


@dataclass(frozen=True)
class Text:
    x: str
    y: str
    text: str
    anchor: str = "middle"


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
    forecast_edges: str
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
    told: str = ""  # JSON for the script: [x, y, words] of each reading, oldest first


def draw(chart: Chart, size: Size) -> Drawn:
    """Lays one chart out. `chart` needs at least one dot; readings may be in any order."""
    plot = Plot(chart, size)
    dots = sorted(chart.dots, key=lambda dot: (dot.on, dot.kind != BEFORE))
    counting = [dot for dot in dots if dot.note != "corrected"]
    radius = size.dot

    def marks(kind: str) -> str:
        return "".join(paths.MARKS[kind](plot, d, radius) for d in counting if d.kind == kind)

    def crosses(note: Note, reach: float) -> str:
        return "".join(paths.cross(plot, dot, reach) for dot in dots if dot.note == note)

    return Drawn(
        id=f"chart-{chart.key}-{size.name}",
        title=chart.title,
        desc=chart.desc,
        size=size,
        frame=f"M{rounded(plot.left)} {rounded(plot.bottom)}H{rounded(plot.right)}",
        grid=paths.grid(plot, size),
        trims=paths.trim_lines(plot, chart.trims, size),
        bands=tuple(
            paths.band_shape(plot, band) for band in chart.bands if band.from_on <= plot.last
        ),
        cycles="" if size.is_small else paths.cycle_lines(plot, counting),
        level=paths.line(plot, chart.level),
        level_range=paths.range_area(plot, chart.level),
        forecast=paths.line(plot, chart.forecast),
        forecast_range=paths.range_area(plot, chart.forecast),
        forecast_edges=paths.range_edges(plot, chart.forecast),
        before=marks(BEFORE),
        after=marks(AFTER),
        between=marks(BETWEEN),
        corrected="" if size.is_small else crosses("corrected", radius * 0.9),
        doubt=crosses("doubt", radius * 1.7),
        last=paths.circle(plot, counting[-1], radius * 2) if counting and size.is_small else "",
        value_labels=_value_labels(plot, size),
        edge_labels=_edge_labels(plot, chart.bands, size),
        date_labels=_date_labels(plot, size),
        unit_label=None
        if size.is_small
        else Text(rounded(2), rounded(size.text), chart.unit, "start"),
        told="" if size.is_small else _told(plot, counting),
    )


def _told(plot: Plot, dots: Sequence[Dot]) -> str:
    points = [
        [round(plot.x(dot.on), 1), round(plot.y(dot.value), 1), dot.words]
        for dot in dots
        if dot.words
    ]
    return json.dumps(points, ensure_ascii=False, separators=(",", ":")) if points else ""


def _value_labels(plot: Plot, size: Size) -> tuple[Text, ...]:
    ticks = paths.ticks_of(plot, size)
    x, drop = rounded(plot.left - 6), size.text * 0.35
    return tuple(Text(x, rounded(plot.y(tick.at) + drop), tick.text, "end") for tick in ticks)


def _edge_labels(plot: Plot, bands: Sequence[TargetBand], size: Size) -> tuple[Text, ...]:
    """The edges of the bands at the right, moved apart where they would lie on each other."""
    edges = sorted({edge for band in bands for edge in band.edges})
    x, drop, floor = rounded(plot.right + 3), size.text * 0.35, float("inf")
    found = []
    for edge in edges:  # from the bottom up
        floor = min(plot.y(edge), floor - size.text)
        found.append(Text(x, rounded(floor + drop), f"{edge:.2f}".rstrip("0").rstrip("."), "start"))
    return tuple(found)


def _date_labels(plot: Plot, size: Size) -> tuple[Text, ...]:
    if size.is_small:
        return _month_labels(plot, size)
    height = plot.bottom + size.text + 4
    found = []
    for tick in date_ticks(plot.first, plot.last, size.date_ticks):
        x = rounded(plot.x(date.fromordinal(int(tick.at))))
        found.append(Text(x, rounded(height), tick.text))
        found.append(Text(x, rounded(height + size.text + 1), tick.below))
    return tuple(text for text in found if text.text)


def _month_labels(plot: Plot, size: Size) -> tuple[Text, ...]:
    """The first and the last month. Where they would lie on each other the last one ends at the
    edge of the picture; where that is not enough the first is left out."""
    y, first, last = (
        rounded(size.height - 1.5),
        f"{plot.first_told:%b %Y}",
        f"{plot.last_told:%b %Y}",
    )
    widths = (len(first) + len(last) + 1) * size.text * LETTER_WIDTH  # and a gap of one letter
    at = plot.left
    if size.is_thin:  # under the scale too: one month alone says nothing
        at = max(0.0, min(at, size.width - 1 - widths))
    left = Text(rounded(at), y, first, "start")
    if first == last:
        return (left,)
    right = max(plot.right, min(at + widths, size.width - 1))
    end = Text(rounded(right), y, last, "end")
    return (left, end) if at + widths <= right else (end,)
