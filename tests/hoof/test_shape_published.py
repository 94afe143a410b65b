"""Applied to published group means, the rules flag what the papers flagged (order checks)."""

import math

from scipy import stats

from measurements.hoof.indices import expected_toe_length_mm, frog_ratio
from measurements.hoof.quantities import Method
from measurements.hoof.shape import (
    AXIS_TOLERANCE_DEG,
    NARROW_FROG_RATIO,
    THIN_SOLE_MM,
    UNEVEN_PAIR_DEG,
    long_toe,
    narrow_frog,
    uneven_pair,
)
from measurements.hoof.shape_finding import Measured


def test_the_frog_rule_flags_the_frog_that_others_call_good():
    # Frog 0.50-0.66 is good to some (O'Grady, Parks; from memory), yet the rule flagged all 44
    # pairs of fore feet in Schade, Cienc Rural 2013;43:456-461.
    for ratio in (0.50, 0.60, 0.66):
        width = Measured(ratio * 100, 2, Method.TAPE)
        assert narrow_frog(width, Measured(100, 2, Method.TAPE))
    assert frog_ratio(67, 100) >= NARROW_FROG_RATIO


def test_the_mean_toe_of_a_working_sample_is_flagged_as_long():
    # Braz J Vet Med article 421: mean 92.1 mm, 52 of 58 judged long.
    assert long_toe(Measured(92.1, 2, Method.TAPE), 425)
    assert 92.1 - 2 * 9.3 < expected_toe_length_mm(425) < 92.1


def test_most_feet_in_that_sample_have_sole_enough():
    # Same sample: sole 22.0 +/- 5.98 mm; about a third were classed shallow.
    share = stats.norm.cdf(THIN_SOLE_MM, loc=22.0, scale=5.98)
    assert 0.05 < share < 0.34


def test_pairs_that_differ_by_chance_alone_are_flagged_as_often_as_error_allows():
    # Two gauge readings of equal feet differ by more than 1.5 deg in 29 % of pairs: the published
    # 28-41 % (Braz J Vet Med 421; Schade 2013) could largely be error, so the rule asks for more.
    by_threshold = 2 * stats.norm.sf(UNEVEN_PAIR_DEG / math.sqrt(2))
    assert 0.27 < by_threshold < 0.31
    just_over = uneven_pair(Measured(52, 1, Method.GAUGE), Measured(50.4, 1, Method.GAUGE))
    assert just_over is None


def test_the_axis_tolerance_is_inside_the_convention():
    assert 2 <= AXIS_TOLERANCE_DEG <= 3
