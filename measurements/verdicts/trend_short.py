"""Which way a series goes, in a few words for paper, and the values that a later sheet compares."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from measurements.hoof.bands import Place
from measurements.hoof.drift.priors import DRIFT_QUANTITIES
from measurements.hoof.quantities import QUANTITIES, Moment, TrimState
from measurements.hoof.trend import TooFewReadings
from measurements.hoof.trend_power import line_would_show
from measurements.models import FootVerdict, Target
from measurements.queries.numbers import Numbers
from measurements.queries.repeats import reading_sd
from measurements.verdicts.bands import BandLook, band_edges, trend_of
from measurements.verdicts.hand_changes import hand_change
from measurements.verdicts.hand_words import HANDS_SHORT
from measurements.verdicts.judge import verdict_now
from measurements.verdicts.words import finding_of
from measurements.verdicts.would_show_words import short_size, would_show_short
from measurements.wording import band_range_words, edges_words, size_words, value_words

TOO_FEW = "too few visits to say which way it goes"
MOMENT_WORDS = {
    Moment.AFTER_TRIM: ", after the trim",
    Moment.END_OF_CYCLE: ", at the cycle’s end",
    Moment.ANY_TIME: "",
}


def verdicts_of(numbers: Numbers) -> dict[str, FootVerdict]:
    """What was judged last of each foot that has numbers."""
    feet = dict.fromkeys(foot for foot, _ in numbers.readings)
    found = {foot: verdict_now(numbers, foot).verdict for foot in feet}
    return {foot: verdict for foot, verdict in found.items() if verdict is not None}


def trend_short(
    numbers: Numbers, foot: str, quantity: str, verdict: FootVerdict | None, unit: str = ""
) -> str:
    """ "falling about 0.9° a visit (0.4 to 1.4)", growth allowed for; or that nothing is seen.

    The toe and heel angles speak by the verdict on the foot, as on the board; the other
    quantities by a straight line.
    """
    finding = finding_of(verdict.result, quantity) if verdict is not None else None
    if verdict is not None and finding is not None and quantity in DRIFT_QUANTITIES:
        said = _judged(verdict, finding, quantity)
        said = said or _unsettled_short(numbers, foot, quantity)
        return said or _none_judged(verdict, quantity)
    trend = trend_of(numbers, foot, quantity)
    if isinstance(trend, TooFewReadings):
        return TOO_FEW
    if not trend.is_moving:
        quiet = would_show_short(quantity, line_would_show(trend, QUANTITIES[quantity]), unit)
        return _unsettled_short(numbers, foot, quantity) or quiet
    return _rate(quantity, trend.rate_per_trim, trend.rate_low, trend.rate_high, unit)


def _unsettled_short(numbers: Numbers, foot: str, quantity: str) -> str:
    """Where a change of hands may hide one of the foot, no "no change" is said."""
    change = hand_change(numbers, foot, quantity)
    return "" if change is None or change.is_settled else HANDS_SHORT


def _judged(verdict: FootVerdict, finding: Mapping[str, Any], quantity: str) -> str:
    result = verdict.result
    if result["state"] == "too_early":
        return TOO_FEW
    if result["state"] == "drift" and finding.get("rate_per_visit"):
        rate, low, high = finding["rate_per_visit"]
        if low * high > 0:
            return _rate(quantity, rate, low, high)
    if result["state"] == "step" and finding.get("change"):
        change, low, high = finding["change"]
        if low * high > 0:
            way = "lower" if change < 0 else "higher"
            since = date.fromisoformat(result["since_on"])
            return f"about {size_words(quantity, change)} {way} since {since:%-d %b %Y}"
    return ""


def _none_judged(verdict: FootVerdict, quantity: str) -> str:
    if verdict.result["state"] != "quiet":
        return "no clear change of its own"
    return would_show_short(quantity, short_size(quantity, verdict.result))


def _rate(quantity: str, rate: float, low: float, high: float, unit: str = "") -> str:
    small, large = sorted((abs(low), abs(high)))
    if low * high <= 0:
        small = 0.0
    if QUANTITIES[quantity].is_angle:
        way = "falling" if rate < 0 else "rising"
    else:
        way = "getting shorter by" if rate < 0 else "getting longer by"
    likely = edges_words(value_words(quantity, small, unit), value_words(quantity, large, unit))
    return f"{way} about {value_words(quantity, abs(rate), unit)} a visit ({likely})"


def band_short(target: Target, look: BandLook | None, unit: str = "") -> tuple[str, bool]:
    """ "inside the vet’s 50 to 54°, after the trim", and whether it is surely outside."""
    edges = band_range_words(target.quantity, *band_edges(target), unit)
    whose = "the vet’s" if target.set_role == "vet" else "the farrier’s"
    moment = MOMENT_WORDS[Moment(target.moment)]
    band = f"{whose} {edges}{moment}{look.measured_when if look else ''}"
    if look is None:
        return f"{band}: not measured yet", False
    if look.position.place is Place.INSIDE:
        return f"inside {band}", False
    way = "under" if look.position.side == "low" else "over"
    past = value_words(target.quantity, look.position.past, unit)
    if look.position.place is Place.AT_EDGE:
        return f"{past} {way} {band}, within the measuring error", False
    return f"{past} {way} {band}", True


@dataclass(frozen=True)
class MeasuredLevel:
    """One value with its error SD, at one moment of the cycle; base unit."""

    foot: str
    quantity: str
    moment: str
    value: float
    sd: float
    on: date


def measured_now(numbers: Numbers) -> list[MeasuredLevel]:
    """The newest value of every series just after a trim, and the newest just before one.

    Values between trims are left out: how much of a difference is growth depends on the day.
    """
    found = []
    for foot, quantity in numbers.readings:
        for moment in (TrimState.AFTER, TrimState.BEFORE):
            reading = numbers.latest_before(foot, quantity, moment)
            if reading is not None:
                sd = reading_sd(reading, {})
                value = float(reading.value)
                found.append(MeasuredLevel(foot, quantity, moment, value, sd, reading.taken_on))
    return found
