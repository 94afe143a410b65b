"""What the readings of one series say, in plain sentences and in the reader's unit."""

from datetime import date

from caseboard.lib.spans import one_or
from measurements.hoof.bands import Place
from measurements.hoof.quantities import QUANTITIES
from measurements.hoof.trend import TooFewReadings, Trend
from measurements.models import Target
from measurements.queries.numbers import Numbers
from measurements.verdicts.bands import (
    BandLook,
    Moving,
    band_look,
    band_words,
    borrowed_note,
    moving_toward_edge,
)
from measurements.verdicts.hand_changes import hand_change
from measurements.verdicts.hand_words import unsettled_words
from measurements.verdicts.leaving import leaving_sentences
from measurements.verdicts.would_show_words import line_would_show_words
from measurements.wording import (
    band_range_words,
    full_day_words,
    number_words,
    shown_unit,
    value_words,
)


def series_story(
    numbers: Numbers,
    foot: str,
    quantity: str,
    trend: Trend | TooFewReadings,
    *,
    length_unit: str,
    today: date,
    verdict: tuple[str, ...] = (),
) -> list[str]:
    """How the newest values stand against their bands, whether they change, and what comes next.

    `verdict` holds the sentences of the drift method; the straight line speaks where it has none.
    """
    unit = shown_unit(quantity, length_unit)
    targets = numbers.targets.get((foot, quantity), [])
    looks = [look for target in targets if (look := band_look(numbers, target))]
    stands = [look_words(look, unit) for look in looks]
    if verdict:
        return [*verdict, *stands]
    moves = [moving for target in targets if (moving := moving_toward_edge(numbers, target))]
    return [
        *stands,
        _unsettled(numbers, foot, quantity, trend) or trend_story(quantity, trend, unit, today),
        *(leaving_words(moving, unit, today) for moving in moves),
    ]


def _unsettled(numbers: Numbers, foot: str, quantity: str, trend: Trend | TooFewReadings) -> str:
    """That a change cannot be told from a change of hands, where the line shows none."""
    if isinstance(trend, TooFewReadings) or trend.is_moving:
        return ""
    change = hand_change(numbers, foot, quantity)
    return "" if change is None or change.is_settled else unsettled_words(foot, quantity, change)


def range_words(quantity: str, low: float, high: float, unit: str) -> str:
    """ "50.0 to 54.0°", with the unit once."""
    return band_range_words(quantity, low, high, unit)


def target_words(target: Target, unit: str) -> str:
    """ "the vet's band of 50.0 to 54.0° just after the trim", in the reader's unit."""
    return band_words(target, unit)


def look_words(look: BandLook, unit: str) -> str:
    reading, target = look.reading, look.target
    value = value_words(reading.quantity, float(reading.value), unit)
    start = f"On {full_day_words(reading.taken_on)} it was {value}{look.when}"
    if look.position.place is Place.INSIDE:
        return f"{start}: inside {target_words(target, unit)}."
    side = "under" if look.position.side == "low" else "over"
    past = value_words(reading.quantity, look.position.past, unit)
    words = f"{start}: {past} {side} {target_words(target, unit)}"
    if look.position.place is Place.AT_EDGE:
        return f"{words}, which is less than the measuring error. Measure again, please."
    return f"{words}."


def trend_story(quantity: str, trend: Trend | TooFewReadings, unit: str, today: date) -> str:
    """Whether the level changes from trim to trim, growth allowed for."""
    if isinstance(trend, TooFewReadings):
        return _too_early(trend)
    visits = f"the last {number_words(len(trend.levels))} visits"
    if trend.is_moving:
        return (
            f"What the numbers show: it has {_moved(quantity, trend.rate_per_trim, unit)} per visit "
            f"over {visits} (likely {_likely(quantity, trend, unit)}), after allowing for growth "
            "since the trim."
        )
    if trend.change_is_visible:
        return (
            f"The readings of {visits} lie too far apart to say whether it changes: "
            f"{_either_way(quantity, trend, unit)} per visit is possible."
        )
    return (
        f"No change was found over {visits}, after allowing for growth since the trim. "
        f"{line_would_show_words(quantity, trend, unit, today)}"
    )


def _too_early(trend: TooFewReadings) -> str:
    known = f"{number_words(trend.trims)} {one_or(trend.trims or 1, 'visit', 'visits')}"
    return (
        f"Too early to say whether it changes: {known} as the foot is shod now, "
        f"needs {number_words(trend.needed)}."
    )


def _moved(quantity: str, rate: float, unit: str) -> str:
    size = value_words(quantity, abs(rate), unit)
    if QUANTITIES[quantity].is_angle:
        return f"{'fallen' if rate < 0 else 'risen'} about {size}"
    return f"become about {size} {'shorter' if rate < 0 else 'longer'}"


def _likely(quantity: str, trend: Trend, unit: str) -> str:
    low, high = sorted((abs(trend.rate_low), abs(trend.rate_high)))
    return range_words(quantity, low, high, unit)


def _either_way(quantity: str, trend: Trend, unit: str) -> str:
    none = value_words(quantity, 0.0, unit)
    down, up = (value_words(quantity, abs(r), unit) for r in (trend.rate_low, trend.rate_high))
    first = "no change" if down == none else f"{down} down"
    return f"anything from {first} to {'no change' if up == none else f'{up} up'}"


def leaving_words(moving: Moving, unit: str, today: date) -> str:
    """When it leaves the band if nothing changes."""
    band = target_words(moving.target, unit)
    if moving.likely_on <= today:
        return f"It is leaving {band} now."
    words = leaving_sentences(band, moving.leaving, today)
    return " ".join(filter(None, (words, borrowed_note(moving))))
