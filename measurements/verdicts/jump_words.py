"""A gross jump that stands, in plain words."""

from caseboard.lib.spans import days_words
from measurements.queries.jumps import JumpSeen
from measurements.queries.reading_values import ReadingValue
from measurements.wording import foot_quantity, full_day_words, value_words

JUMPED = "changed at once: measure again, today"  # where there is room for a few words only


def jump_words(seen: JumpSeen) -> str:
    """From where to where in how many days, and what to do: measure again, or ring the vet."""
    what = foot_quantity(seen.start.foot, seen.start.quantity)
    what = what[0].upper() + what[1:]
    earlier, start = seen.earlier, seen.start
    days = (start.taken_on - earlier.taken_on).days
    later = f"{days_words(days)} later" if days else "the same day"
    told = (
        f"{what}: {_value(earlier)} on {full_day_words(earlier.taken_on)}, then {_value(start)} "
        f"{later}, {full_day_words(start.taken_on)}."
    )
    if seen.again:
        last = seen.again[-1]
        on = full_day_words(last.taken_on)
        return (
            f"{told} Measured again on {on}: {_value(last)}. So it is no slip: ring the vet today."
        )
    return (
        f"{told} That is a slip or an emergency: measure again, today. Sore, hot or unwilling to "
        "move: call your vet now."
    )


def _value(reading: ReadingValue) -> str:
    return value_words(reading.quantity, float(reading.value))
