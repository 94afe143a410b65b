"""The four feet as the board and the sheet show them: current values, bands, on paper charts."""

from dataclasses import dataclass
from datetime import date, timedelta

from measurements.charts.draw import Drawn, Size, draw
from measurements.hoof.bands import Place
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES, Shoeing, TrimState
from measurements.models import Target
from measurements.queries.dangers import film_dangers
from measurements.queries.numbers import Numbers
from measurements.queries.reading_values import ReadingValue
from measurements.series.chart import LEAST_SPAN, series_chart
from measurements.verdicts.bands import BandLook, band_edges, band_look, band_words
from measurements.wording import entered_words, shown_unit, value_words

# What a panel shows first; quantities with a band join them, and films that must be known. House
# default.
FIRST = ("toe_angle", "heel_angle", "toe_length")
CHART_SPAN = timedelta(days=900)  # about two and a half years: renewal of a whole toe, twice


@dataclass(frozen=True)
class BandMark:
    """A band beside a value: in words, and as places along a ruler from 0 to 100."""

    words: str
    outside: bool
    at: int
    low: int
    high: int

    @property
    def is_measured(self) -> bool:
        return self.high > 0


@dataclass(frozen=True)
class ValueLine:
    """One quantity of one foot as it stands now."""

    quantity: str
    label: str
    value: str
    when: str
    on: date
    bands: tuple[BandMark, ...]
    chart: Drawn | None


@dataclass(frozen=True)
class FootPanel:
    foot: str
    shoeing: str  # barefoot, shod ..., "" when not recorded
    lines: tuple[ValueLine, ...]
    needs: bool
    trimmed_on: date | None

    @property
    def common_when(self) -> str:
        """When all of it was measured, if it was measured together."""
        whens = {line.when for line in self.lines}
        return whens.pop() if len(whens) == 1 else ""

    @property
    def charts(self) -> list[Drawn]:
        return [line.chart for line in self.lines if line.chart]

    @property
    def shoeing_words(self) -> str:
        return Shoeing(self.shoeing).label if self.shoeing else ""


def foot_panels(
    numbers: Numbers,
    shoeing: dict[str, str],
    needing: frozenset[str],
    *,
    length_unit: str,
    chart_size: Size | None = None,
) -> list[FootPanel]:
    """The four panels; `needing` are the feet that an open alert or flag names. Charts are drawn
    where a size is given."""
    return [
        FootPanel(
            foot=foot.value,
            shoeing=shoeing.get(foot.value, ""),
            lines=tuple(_lines(numbers, foot.value, length_unit, chart_size)),
            needs=foot.value in needing,
            trimmed_on=max(numbers.trim_days(foot.value), default=None),
        )
        for foot in Foot
    ]


def _lines(numbers: Numbers, foot: str, length_unit: str, size: Size | None) -> list[ValueLine]:
    banded = [q for f, q in numbers.targets if f == foot and q not in FIRST]
    filmed = [film.reading.quantity for film in film_dangers(numbers.readings) if film.foot == foot]
    wanted = [*FIRST, *banded, *(q for q in filmed if q not in banded)]
    return [
        value_line(numbers, foot, quantity, length_unit=length_unit, size=size)
        for quantity in wanted
        if numbers.latest(foot, quantity) is not None
    ]


def value_line(
    numbers: Numbers, foot: str, quantity: str, *, length_unit: str, size: Size | None = None
) -> ValueLine:
    """The current value of one series. The chart goes with the toe angle and with a band."""
    reading = numbers.latest(foot, quantity)
    assert reading is not None  # the caller looked
    targets = numbers.targets.get((foot, quantity), [])
    looks = [look for target in targets if (look := band_look(numbers, target))]
    unit, chart = shown_unit(quantity, length_unit), None
    if size is not None and (quantity == "toe_angle" or targets):
        chart = numbers.worked_out(
            ("small chart", foot, quantity, length_unit, size),
            lambda: _chart(numbers, reading, length_unit, size),
        )
    return ValueLine(
        quantity=quantity,
        label=QUANTITIES[quantity].label_on(Foot(foot)),
        value=entered_words(reading, length_unit),
        when=when_words(reading),
        on=reading.taken_on,
        bands=tuple(_mark(look, unit) for look in looks)
        or tuple(_unread(t, unit) for t in targets),
        chart=chart,
    )


def _chart(numbers: Numbers, newest: ReadingValue, length_unit: str, size: Size) -> Drawn | None:
    since = newest.taken_on - CHART_SPAN
    drawn = series_chart(
        numbers, newest.foot, newest.quantity, length_unit=length_unit, since=since
    )
    return draw(drawn, size.for_bands if drawn.bands else size) if drawn else None


def when_words(reading: ReadingValue) -> str:
    return moment_words(TrimState(reading.trim_state), reading.taken_on)


def moment_words(state: TrimState, on: date) -> str:
    words = "between visits" if state is TrimState.BETWEEN else f"{state.value} trim"
    return f"{words}, {on:%-d %b %Y}"


def _unread(target: Target, unit: str) -> BandMark:
    return BandMark(f"{band_words(target, unit)}: not measured yet", False, 0, 0, 0)


def _mark(look: BandLook, unit: str) -> BandMark:
    value = float(look.reading.value)
    past, side = look.position.past, look.position.side
    outside = look.position.place is Place.OUTSIDE
    if look.position.place is Place.INSIDE:
        words = f"inside {band_words(look.target, unit)}"
    else:
        way = "under" if side == "low" else "over"
        size = value_words(look.target.quantity, past, unit)
        doubt = "" if outside else ", within the measuring error"
        words = f"{size} {way} {band_words(look.target, unit)}{doubt}"
    return BandMark(f"{words}{look.measured_when}", outside, *_ruler(look.target, value))


def _ruler(target: Target, value: float) -> tuple[int, int, int]:
    """Where the value and the band's edges lie along the ruler, 0 to 100.

    The band has the middle half, so that a value well outside still shows; an open side reaches
    the ruler's end.
    """
    low, high = band_edges(target)
    width = LEAST_SPAN[QUANTITIES[target.quantity].unit]
    if low is not None and high is not None:
        width = high - low
    start = (low if low is not None else (high or 0.0) - width) - width / 2

    def place(number: float) -> int:
        return round(min(100.0, max(0.0, (number - start) / (2 * width) * 100)))

    return place(value), 0 if low is None else place(low), 100 if high is None else place(high)
