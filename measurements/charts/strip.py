"""What happened to a foot, on the days of its charts: trims, shoes on and off, bands set. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from measurements.charts.model import Size
from measurements.charts.paths import rounded

HEIGHT, MIDDLE = 32, 16


@dataclass(frozen=True)
class Happened:
    """`kind`: trim, shod, bare, band, picture."""

    on: date
    kind: str
    words: str


@dataclass(frozen=True)
class StripMark:
    x: str
    kind: str


@dataclass(frozen=True)
class Strip:
    """The marks from left to right, and all of it in words for who does not see them."""

    width: int
    height: int
    line: str
    trims: str
    marks: tuple[StripMark, ...]
    told: tuple[str, ...]


def strip_of(happened: Sequence[Happened], span: tuple[date, date], size: Size) -> Strip | None:
    """None where nothing happened in the span; `size` is that of the charts below."""
    first, last = span
    shown = sorted((h for h in happened if first <= h.on <= last), key=lambda h: h.on)
    if not shown:
        return None
    left, right = float(size.margins[3]), float(size.width - size.margins[1])
    per_day = (right - left) / max((last - first).days, 1)

    def x(on: date) -> str:
        return rounded(left + (on - first).days * per_day)

    trims = "".join(f"M{x(h.on)} {MIDDLE - 8}v16" for h in shown if h.kind == "trim")
    marks = tuple(StripMark(x(h.on), h.kind) for h in shown if h.kind != "trim")
    line = f"M{rounded(left)} {MIDDLE}H{rounded(right)}"
    return Strip(size.width, HEIGHT, line, trims, marks, tuple(h.words for h in reversed(shown)))
