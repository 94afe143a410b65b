"""What a chart is asked to show, as plain values in the unit that the reader sees. Pure."""

from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

BEFORE, AFTER, BETWEEN = "before", "after", "between"
ANY = "any"  # of a band only
Note = Literal["", "doubt", "corrected"]


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
    words: str = ""  # what is said of it when it is pointed at


@dataclass(frozen=True)
class Span:
    """A value on a day with its likely range (low <= value <= high)."""

    on: date
    value: float
    low: float
    high: float


@dataclass(frozen=True)
class TargetBand:
    """A target: its edges, the day it holds from, and the moment.

    An edge is None for an open side, not both. The moment: "after" or "before" the trim, or "any".
    """

    low: float | None
    high: float | None
    from_on: date
    moment: str
    words: str = ""

    @property
    def edges(self) -> tuple[float, ...]:
        """The edges that there are, from the bottom up."""
        return tuple(edge for edge in (self.low, self.high) if edge is not None)


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
    since: date | None = None  # the axis begins at this day at the latest
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
    is_thin: bool = False  # small in spite of its scale: thin lines, two months, nothing more

    @property
    def is_small(self) -> bool:
        return self.is_thin or self.value_ticks == 0

    @property
    def for_bands(self) -> "Size":
        """The same where the edges of a band, written at the right, are the scale."""
        if not self.is_thin:
            return self
        top, right, bottom, left = self.margins
        return replace(self, margins=(top, left, bottom, right), value_ticks=0)


PHONE = Size("phone", 380, 300, (26, 36, 42, 40), 15, 4.2, 5, 4)
# One of several below each other on the same days: never less than 300 by 120 on a phone.
LADDER = Size("ladder", 360, 176, (26, 40, 42, 36), 14, 3.6, 3, 4)
LARGE = Size("large", 720, 320, (26, 44, 42, 46), 14, 4.2, 6, 9)
