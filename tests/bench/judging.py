"""How long judging takes a foot that was never judged before, for the goals of speed."""

from collections.abc import Callable
from functools import cache

from tests.bench.drift import ms_a_foot


def ms_of(*, heel: bool) -> Callable[[bool], float]:
    """Processor time of a foot of 24 visits, in ms."""
    return lambda quick: _ms(heel, quick)


def thousand_feet(quick: bool) -> float:
    """Processor time of a thousand feet, toe and heel, in s."""
    return _ms(True, quick)  # as many seconds as one takes milliseconds


@cache
def _ms(heel: bool, quick: bool) -> float:
    return ms_a_foot(heel=heel, feet=20 if quick else 200)
