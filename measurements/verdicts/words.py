"""A verdict in plain words that a farrier can read aloud."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from caseboard.lib.spans import one_or
from measurements.hoof.feet import Foot, label
from measurements.hoof.growth import Growth
from measurements.hoof.quantities import QUANTITIES, Z_95_TWO_SIDED, Moment
from measurements.models import Target
from measurements.queries.numbers import Numbers
from measurements.verdicts.bands import band_words, moment_words
from measurements.verdicts.borrowed import borrowed_words
from measurements.verdicts.hand_changes import hand_change
from measurements.verdicts.hand_words import unsettled_words
from measurements.verdicts.leaving import WORTH_SAYING, Leaving, in_ten, leaving_sentences
from measurements.verdicts.would_show_words import drift_would_show
from measurements.wording import (
    about_when,
    edges_words,
    fell_or_rose,
    foot_quantity,
    full_day_words,
    number_words,
    size_words,
    value_words,
)

Result = Mapping[str, Any]
DAYS_A_YEAR = 365
# A crossing less likely than this has no date in words, only its chance. House default.
LIKELY_ENOUGH = 0.5
# Above this a level is called outside its band, below it at the edge. House default.
SURELY = 0.9


def finding_of(result: Result, quantity: str) -> Mapping[str, Any] | None:
    return next((f for f in result["findings"] if f["quantity"] == quantity), None)


def _range_words(quantity: str, low: float, high: float) -> str:
    """ "likely 0.3 to 0.8°", the sizes small to large, or that it may be nothing."""
    if low < 0 < high:
        return f"likely up to {size_words(quantity, max(-low, high))}, or nothing"
    first, second = sorted((abs(low), abs(high)))
    return f"likely {edges_words(value_words(quantity, first), size_words(quantity, second))}"


def allowed_words(result: Result) -> str:
    """What is not mistaken for a change: growth, the interval, doubtful readings, other hands."""
    parts = ["growth since the trim", "the time between visits"]
    if result["readers"] > 1:
        parts.append("who measured and how")
    if result["shoeing_changes"]:
        parts.append("the change of shoes")
    if result["planned"]:
        parts.append("the change you agreed on")
    if result["doubtful"]:
        count = result["doubtful"]
        parts.append(
            f"{number_words(count)} {one_or(count, 'reading that stands', 'readings that stand')} apart"
        )
    return ", ".join(parts[:-1]) + f" and {parts[-1]}"


def drift_words(foot: str, result: Result, today: date) -> str:
    """The sentence for a slow change: how fast, how sure, since when, what was allowed for."""
    quantity = result["lead"]
    finding = finding_of(result, quantity)
    assert finding is not None  # the lead is one of the findings
    rate, low, high = finding["rate_per_visit"]
    return (
        f"The {foot_quantity(foot, quantity)} has {fell_or_rose(quantity, rate)} about "
        f"{size_words(quantity, rate)} per visit ({_range_words(quantity, low, high)}) since about "
        f"{about_when(date.fromisoformat(result['since_on']), today)}, after allowing for "
        f"{allowed_words(result)}."
        f"{_other_words(foot, result, quantity, rate)}"
    )


def _other_words(foot: str, result: Result, lead: str, rate: float) -> str:
    """Whether the other angle of the foot goes the same way."""
    for other in result["findings"]:
        if other["quantity"] != lead and other["rate_per_visit"]:
            value, low, high = other["rate_per_visit"]
            if low * high > 0 and value * rate > 0:
                name = QUANTITIES[other["quantity"]].label_on(Foot(foot))
                return f" The {name} goes the same way."
    return ""


def step_words(foot: str, result: Result, today: date) -> str:
    """The sentence for a sudden change at one trim."""
    quantity = result["lead"]
    finding = finding_of(result, quantity)
    assert finding is not None
    change, low, high = finding["change"]
    way = "lower" if change < 0 else "higher"
    return (
        f"The {foot_quantity(foot, quantity)} is about {size_words(quantity, change)} {way} since "
        f"the trim of {full_day_words(date.fromisoformat(result['since_on']))} "
        f"({_range_words(quantity, low, high)}): a change at once rather than a slow one, after "
        f"allowing for {allowed_words(result)}."
    )


def forecast_words(result: Result, targets: list[Target], today: date) -> str:
    """What happens if nothing changes: when a band is left, of several the one that goes first."""
    found = [
        (forecast, target)
        for target in targets
        for forecast in result["forecasts"]
        if (forecast["quantity"], forecast["moment"]) == (target.quantity, target.moment)
    ]
    if not found:
        return "" if targets else _without_band(result)
    forecast, target = max(
        found, key=lambda one: (one[0]["outside_chance"] > LIKELY_ENOUGH, one[0]["chance"])
    )
    words = _leaves(result["state"], forecast, target, today)
    return f" {words}{_borrowed(result, target)}" if words else ""


def _borrowed(result: Result, target: Target) -> str:
    """Said where a forecast for the cycle's end leans on another quantity's growth."""
    finding = finding_of(result, target.quantity)
    if finding is None or target.moment != Moment.END_OF_CYCLE:
        return ""
    middle, low, high = finding["growth_per_56_days"]
    note = borrowed_words(target.quantity, Growth(middle, (high - low) / 2 / Z_95_TWO_SIDED))
    return f" {note}" if note else ""


def _without_band(result: Result) -> str:
    """Where it goes on to when nobody has set a band; a step goes nowhere."""
    finding = finding_of(result, result["lead"])
    if result["state"] != "drift" or finding is None or not result["interval_days"]:
        return ""
    in_a_year = finding["rate_per_visit"][0] * DAYS_A_YEAR / result["interval_days"]
    way = "falls" if in_a_year < 0 else "rises"
    return (
        f" If it goes on, it {way} about {size_words(result['lead'], in_a_year)} in a year. Nobody "
        "has set a band for it."
    )


def _leaves(state: str, found: Mapping[str, Any], target: Target, today: date) -> str:
    if found["outside_chance"] > LIKELY_ENOUGH:
        return _at_edge(found, target)
    if found["chance"] < LIKELY_ENOUGH or not (found["earliest_on"] and found["likely_on"]):
        return _rather_stays(found, target) if state == "drift" else ""
    leaving = Leaving(
        earliest_on=date.fromisoformat(found["earliest_on"]),
        likely_on=date.fromisoformat(found["likely_on"]),
        latest_on=date.fromisoformat(found["latest_on"]) if found["latest_on"] else None,
        out_already=found["outside_chance"],
        stays=1.0 - found["chance"],
    )
    return leaving_sentences(band_words(target), leaving, today)


def _rather_stays(found: Mapping[str, Any], target: Target) -> str:
    """A drift so slow, or so far from the edge, that the band may hold it; never as a comfort."""
    band = band_words(target)
    if found["chance"] < WORTH_SAYING:
        return f"Going on like that it is unlikely to leave {band} within two years."
    return f"If it goes on, it may leave {band} within two years: {in_ten(found['chance'])}."


def _at_edge(found: Mapping[str, Any], target: Target) -> str:
    """The level stands at an edge now: a sentence that agrees with a last reading on either side."""
    when = (moment_words(target).strip() or "at one end of the cycle").capitalize()
    band = band_words(target).removesuffix(moment_words(target))
    side = "under" if found["edge"] == "low" else "over"
    if found["outside_chance"] > SURELY:
        return f"{when} the level is {side} {band} now, growth and single readings allowed for."
    edge = "lower" if found["edge"] == "low" else "upper"
    return (
        f"{when} the level is about at the {edge} edge of {band} now, growth and single readings "
        f"allowed for: {in_ten(found['outside_chance'])} that it is {side} it already."
    )


def quiet_words(foot: str, quantity: str, result: Result, today: date) -> str:
    """The sentence for a series in which no change was found. It does not reassure."""
    seen = result["visits_seen"]
    if result["state"] == "too_early":
        needed = result["visits_needed"]
        return (
            f"Too early to say for the {foot_quantity(foot, quantity)}: "
            f"{number_words(seen)} {one_or(seen, 'visit', 'visits')} so far, it needs {number_words(needed)}."
        )
    finding = finding_of(result, quantity)
    level = ""
    if finding is not None:
        value, low, high = finding["level"]
        level = (
            f" Just after the trim it stands at about {value_words(quantity, value)} "
            f"({_range_words(quantity, low, high)})."
        )
    return (
        f"No change of the {foot_quantity(foot, quantity)} was found over {number_words(seen)} "
        f"visits. {drift_would_show(foot, quantity, result, today)}{level}"
    )


def verdict_words(numbers: Numbers, foot: str, quantity: str, result: Result, today: date) -> str:
    """What the numbers say of a foot, for the series page of one of its angles."""
    targets = numbers.targets.get((foot, result.get("lead") or quantity), [])
    if result["state"] == "drift":
        return drift_words(foot, result, today) + forecast_words(result, targets, today)
    if result["state"] == "step":
        return step_words(foot, result, today) + forecast_words(result, targets, today)
    change = hand_change(numbers, foot, quantity) if result["state"] == "quiet" else None
    if change is not None and not change.is_settled:
        return unsettled_words(foot, quantity, change)
    return quiet_words(foot, quantity, result, today)


def doubtful_words(numbers: Numbers, foot: str, result: Result) -> list[str]:
    """A request to measure again for each reading that stands apart from the others.

    A foot that was trimmed since is another foot: nobody can measure that reading again.
    """
    wanted = {key: f["quantity"] for f in result["findings"] for key in f["doubtful"]}
    trimmed_on = max(numbers.trim_days(foot), default=None)
    lines = []
    for quantity in dict.fromkeys(wanted.values()):
        for reading in numbers.readings.get((foot, quantity), []):
            is_past = trimmed_on is not None and reading.taken_on < trimmed_on
            if reading.public_id in wanted and not is_past:
                lines.append(
                    f"Measure again, please: the {foot_quantity(foot, quantity)} of "
                    f"{value_words(quantity, float(reading.value))} on "
                    f"{full_day_words(reading.taken_on)} stands apart from the others."
                )
    return lines


def title_words(foot: str, state: str) -> str:
    where = label(Foot(foot)).capitalize()
    return f"{where}: {'slow change' if state == 'drift' else 'a change at one trim'}"
