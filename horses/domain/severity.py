"""How bad a finding is, and when it is worse than what people were told. Pure.

A severity is a number in the finding's own unit that grows with it, beside its standard error. The
same comparison as SQL stands in horses/queries/alert_quiet.py.
"""

import math

Z_95 = 1.96  # two-sided 95 % of the normal distribution
# The days by which something of the calendar must have got later to be told anew, without an
# answer or against it. House defaults: half a usual interval; a week for what waits for a word.
CALENDAR_WORSE_DAYS = 28
WAITING_WORSE_DAYS = 7


def is_worse(now: float, now_sd: float, told: float, told_sd: float) -> bool:
    """Whether it grew by more than the error of the difference of two levels."""
    return now - told > Z_95 * math.hypot(now_sd, told_sd)


def days_sd(worse_days: int) -> float:
    """The standard error that makes `worse_days` more days the least that counts as worse."""
    return worse_days / (Z_95 * math.sqrt(2))


def half_width_sd(low: float, high: float) -> float:
    """The standard error behind the ends of a 95 % interval."""
    return abs(high - low) / 2 / Z_95
