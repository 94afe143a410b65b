"""How a foot stands against its bands: outside now, or moving toward an edge.

Decided 2026-11: a band for any time is compared with the newest day's worst reading, and one of
what only films show with the newest film, because nobody films at each trim. One end may be open.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from measurements.hoof.bands import BandPosition, Place, band_position, edges_after_trim
from measurements.hoof.growth import expected_change
from measurements.hoof.quantities import QUANTITIES, Moment, TrimState
from measurements.hoof.trend import (
    SPEAK_UP_DAYS,
    TooFewReadings,
    Trend,
    TrendCrossing,
    crossing,
    fit_trend,
)
from measurements.models import Target
from measurements.queries.numbers import ORIGIN, Numbers
from measurements.queries.reading_values import ReadingValue
from measurements.queries.repeats import reading_sd
from measurements.verdicts.borrowed import borrowed_words
from measurements.verdicts.leaving import Leaving, leaving_sentences
from measurements.wording import (
    band_range_words,
    edges_words,
    fell_or_rose,
    foot_quantity,
    full_day_words,
    number_words,
    size_words,
    value_words,
)


@dataclass(frozen=True)
class BandLook:
    """The newest reading that a band is compared with, and where it stands."""

    target: Target
    reading: ReadingValue
    position: BandPosition
    sd: float  # the measuring error of the reading

    @property
    def is_newer_than_band(self) -> bool:
        return self.reading.taken_on >= self.target.from_on

    @property
    def when(self) -> str:
        """ " between visits" where the band's own moment does not say when it was measured."""
        state = self.reading.trim_state
        return "" if state == self.target.moment else f" {TrimState(state).label}"

    @property
    def measured_when(self) -> str:
        """Said where neither the band nor the value beside it says when it was measured."""
        between = self.reading.trim_state == TrimState.BETWEEN
        return f", measured{self.when}" if self.when and not between else ""


Edges = tuple[float | None, float | None]


def band_edges(target: Target) -> Edges:
    """The lower and the upper edge, None for an open side; a target in force has one at least."""
    low, high = target.low, target.high
    return None if low is None else float(low), None if high is None else float(high)


def whose_band(target: Target) -> str:
    return "the vet's band" if target.set_role == "vet" else "the farrier's aim"


def band_words(target: Target, unit: str = "") -> str:
    """ "the vet's band of 50 to 54° just after the trim"; one for any time needs no moment."""
    edges = band_range_words(target.quantity, *band_edges(target), unit)
    return f"{whose_band(target)} of {edges}{moment_words(target)}"


def moment_words(target: Target) -> str:
    """ " just after the trim", "" for any time."""
    moment = Moment(target.moment)
    return "" if moment is Moment.ANY_TIME else f" {moment.label}"


def band_look(numbers: Numbers, target: Target) -> BandLook | None:
    """Compares the newest reading of the band's own moment; None when there is none.

    With the error of the person who took it, once their own repeats have shown it. A band for any
    time is compared with all readings of the newest day, and the one furthest out counts: a foot
    found outside at the end of its cycle was outside, whatever the trim then made of it.
    """
    looks = [_look(numbers, target, reading) for reading in _compared(numbers, target)]
    return max(looks, key=lambda look: look.position.past, default=None)


def _compared(numbers: Numbers, target: Target) -> list[ReadingValue]:
    """The readings a band is compared with, the newest first.

    What only a film shows is compared whenever it was filmed: nobody films at each trim.
    """
    rows = numbers.readings.get((target.foot, target.quantity), [])
    anytime = target.moment == Moment.ANY_TIME or QUANTITIES[target.quantity].is_filmed
    wanted = [row for row in reversed(rows) if anytime or row.trim_state == target.moment]
    if not anytime:
        return wanted[:1]
    return [row for row in wanted if row.taken_on == wanted[0].taken_on]


def _look(numbers: Numbers, target: Target, reading: ReadingValue) -> BandLook:
    sd = reading_sd(reading, numbers.errors)
    position = band_position(float(reading.value), sd, *band_edges(target))
    return BandLook(target, reading, position, sd)


def outside_words(look: BandLook) -> str:
    """The sentence for a reading outside or at the edge of its band."""
    reading, target = look.reading, look.target
    what = foot_quantity(reading.foot, reading.quantity)
    side = "under" if look.position.side == "low" else "over"
    value = value_words(reading.quantity, float(reading.value))
    start = (
        f"The {what} was {value}{look.when} on {full_day_words(reading.taken_on)}, {side} "
        f"{band_words(target)}"
    )
    if look.position.place is Place.AT_EDGE:
        return f"{start}, but by less than the measuring error: measure again, please."
    return f"{start}."


@dataclass(frozen=True)
class Moving:
    """A trend that leaves a band if nothing changes, with the days as dates."""

    target: Target
    trend: Trend
    crossing: TrendCrossing
    earliest_on: date
    likely_on: date
    latest_on: date | None

    @property
    def leaving(self) -> Leaving:
        return Leaving(self.earliest_on, self.likely_on, self.latest_on)


def trend_of(numbers: Numbers, foot: str, quantity: str) -> Trend | TooFewReadings:
    return numbers.worked_out(
        ("trend", foot, quantity),
        lambda: fit_trend(numbers.series(foot, quantity), QUANTITIES[quantity]),
    )


def moving_toward_edge(numbers: Numbers, target: Target) -> Moving | None:
    """Whether the level, growth allowed for, is on its way out of the band within a year."""
    trend = trend_of(numbers, target.foot, target.quantity)
    if isinstance(trend, TooFewReadings) or not trend.is_moving:
        return None
    interval = numbers.horse.interval_days
    grown = expected_change(trend.growth, interval)[0]
    low, high = edges_after_trim(*band_edges(target), Moment(target.moment), grown)
    # Only the edge that it moves toward: a level past the other one is on its way back in.
    falling = trend.rate_per_trim < 0
    edge = low if falling else high
    if edge is None:
        return None
    found = crossing(trend, edge if falling else None, None if falling else edge, interval)
    if found is None or found.likely_days > SPEAK_UP_DAYS:
        return None
    # The line counts from the last trim that was measured, which later trims are not.
    measured_on = ORIGIN + timedelta(days=round(trend.levels[-1].trim_day))

    def on(days: int) -> date:
        return measured_on + timedelta(days=days)

    latest = None if found.latest_days is None else on(found.latest_days)
    return Moving(target, trend, found, on(found.earliest_days), on(found.likely_days), latest)


def trend_words(foot: str, quantity: str, trend: Trend) -> str:
    """What a straight line says, with its interval and what was allowed for."""
    low, high = sorted((abs(trend.rate_low), abs(trend.rate_high)))
    likely = edges_words(value_words(quantity, low), value_words(quantity, high))
    return (
        f"The {foot_quantity(foot, quantity)} has {fell_or_rose(quantity, trend.rate_per_trim)} "
        f"about {size_words(quantity, trend.rate_per_trim)} per visit over the last "
        f"{number_words(len(trend.levels))} visits (likely {likely}), after allowing for growth "
        "since the trim."
    )


def moving_words(moving: Moving, today: date) -> str:
    """The sentence of the alert: how fast, how sure, and what happens if nothing changes."""
    start = trend_words(moving.target.foot, moving.target.quantity, moving.trend)
    if moving.likely_on <= today:
        words = f"{start} It is leaving {band_words(moving.target)} now."
    else:
        words = f"{start} {leaving_sentences(band_words(moving.target), moving.leaving, today)}"
    return " ".join(filter(None, (words, borrowed_note(moving))))


def borrowed_note(moving: Moving) -> str:
    """Said where the day leans on a growth that is not this quantity's own: at a cycle's end."""
    if moving.target.moment != Moment.END_OF_CYCLE:
        return ""
    return borrowed_words(moving.target.quantity, moving.trend.growth)
