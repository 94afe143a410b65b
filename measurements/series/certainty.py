"""How sure a reading is: what two readings can tell apart, own repeats, and other hands."""

from caseboard.lib.spans import counted
from measurements.hoof.quantities import QUANTITIES, Z_95_TWO_SIDED, Method, mdc95
from measurements.queries.numbers import Numbers
from measurements.queries.reading_values import ReadingValue
from measurements.queries.repeats import (
    REPEATS_NEEDED,
    Difference,
    Source,
    differences,
    reading_sd,
    sd_of,
)
from measurements.series.words import range_words
from measurements.wording import number_words, value_words

DETECTABLE_SOURCE = (
    "The difference that two readings must have before it is more than measuring error is 1.96 "
    "times the root of the sum of both errors squared (Weir, J Strength Cond Res 2005;19:231-240)."
)
REPEATS_SOURCE = (
    "Your own error is the spread inside your repeats (Bland and Altman, Lancet 1986;i:307-310), "
    "held towards the usual error as long as they are few, which is our own assumption."
)


def certainty(numbers: Numbers, foot: str, quantity: str, *, reader: str, unit: str) -> list[str]:
    """The sentences for a reader, known by the key of their account."""
    rows = numbers.readings.get((foot, quantity), [])
    if not rows:
        return []
    found = [_detectable(quantity, rows, unit), *_own(numbers, quantity, reader, unit)]
    return found + [
        _difference_words(difference, reader, unit)
        for difference in _differences(numbers, quantity)
    ]


def _differences(numbers: Numbers, quantity: str) -> list[Difference]:
    return numbers.worked_out(
        ("differences", quantity),
        lambda: differences(numbers.readings, quantity, numbers.errors),
    )


def certainty_sources(numbers: Numbers, quantity: str, reader: str) -> list[str]:
    """Where these figures come from, for the details."""
    own = any(source.by == reader for source in numbers.errors if source.quantity == quantity)
    return [DETECTABLE_SOURCE, *([REPEATS_SOURCE] if own else [])]


def _detectable(quantity: str, rows: list[ReadingValue], unit: str) -> str:
    """ "Between two readings by hoof gauge a difference under about 2.8° ...". A picture's readings
    have errors of their own: that of the newest one stands for them."""
    newest = {Method(row.method): row for row in rows}
    last = rows[-1]
    size = _least(quantity, last, last, unit)
    words = (
        f"Between two readings by {last.method_label} a difference under about {size} is within the "
        "measuring error"
    )
    for method in QUANTITIES[quantity].methods:
        if method != last.method and method in newest:
            least = _least(quantity, last, newest[method], unit)
            words += f"; between one by {last.method_label} and one by {method.label}, under about {least}"
    return f"{words}."


def _least(quantity: str, first: ReadingValue, second: ReadingValue, unit: str) -> str:
    errors = [reading_sd(row, {}) for row in (first, second)]
    return value_words(quantity, mdc95(*errors), unit)


def _own(numbers: Numbers, quantity: str, reader: str, unit: str) -> list[str]:
    return [
        _own_words(numbers, source, unit)
        for source in sorted(numbers.errors, key=lambda s: s.method)
        if source.by == reader and source.quantity == quantity
    ]


def _own_words(numbers: Numbers, source: Source, unit: str) -> str:
    error = numbers.errors[source]
    start = f"Your own repeats by {Method(source.method).label}"
    usual = value_words(source.quantity, Z_95_TWO_SIDED * error.usual_sd, unit)
    if error.repeats < REPEATS_NEEDED:
        return (
            f"{start}: {number_words(error.repeats)} so far. From {number_words(REPEATS_NEEDED)} "
            f"on, your own error counts in the place of the usual ±{usual}."
        )
    own = value_words(source.quantity, Z_95_TWO_SIDED * sd_of(source, numbers.errors), unit)
    least = value_words(source.quantity, error.repeatability, unit)
    return (
        f"{start}: ±{own}, from {error.repeats} pairs; it counts in the place of the usual "
        f"±{usual}. Between two readings of your own a difference under about {least} is within "
        "the measuring error."
    )


def _difference_words(difference: Difference, reader: str, unit: str) -> str:
    bias, quantity = difference.bias, difference.first.quantity
    pairs = counted(bias.days, "same-day pair")
    people = [
        (difference.first, difference.first_name),
        (difference.second, difference.second_name),
    ]
    if bias.is_visible and bias.bias < 0:
        people.reverse()
    alike = difference.first.method == difference.second.method
    first, second = (_who(source, name, reader, alike) for source, name in people)
    if not bias.is_visible:
        start = f"{first} and {second}"
        widest = value_words(quantity, max(abs(bias.low), abs(bias.high)), unit)
        return (
            f"{_capital(start)}: no clear difference in {pairs}; up to {widest} is not ruled out."
        )
    low, high = sorted((abs(bias.low), abs(bias.high)))
    return (
        f"{_capital(first)} {'read' if people[0][0].by == reader else 'reads'} about "
        f"{value_words(quantity, abs(bias.bias), unit)} "
        f"{'higher' if QUANTITIES[quantity].is_angle else 'longer'} than {second} "
        f"({pairs}, likely {range_words(quantity, low, high, unit)})."
    )


def _who(source: Source, name: str, reader: str, alike: bool) -> str:
    """The person, with the way of measuring where the two differ in it."""
    who = "you" if source.by == reader else name
    return who if alike else f"{who} ({Method(source.method).label})"


def _capital(words: str) -> str:
    return words[0].upper() + words[1:]
