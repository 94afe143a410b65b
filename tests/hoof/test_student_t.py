"""Student's t against a printed table and another program."""

import pytest
from scipy import stats

from measurements.hoof.student_t import t_quantile, t_within

# Abramowitz & Stegun (1964), table 26.10: A(t|n) = .95, .99 for n = 1, 2, 5, 10, 30, 120.
PRINTED = [
    (1, 12.706, 63.657),
    (2, 4.303, 9.925),
    (5, 2.571, 4.032),
    (10, 2.228, 3.169),
    (30, 2.042, 2.750),
    (120, 1.980, 2.617),
]


@pytest.mark.parametrize(("df", "t95", "t99"), PRINTED)
def test_the_printed_table_is_met(df: int, t95: float, t99: float) -> None:
    assert t_quantile(0.95, df) == pytest.approx(t95, abs=6e-4)
    assert t_quantile(0.99, df) == pytest.approx(t99, abs=6e-4)


@pytest.mark.parametrize("df", [1, 2, 3, 4, 7, 8, 33, 200, 5001])
@pytest.mark.parametrize("confidence", [0.01, 0.5, 0.8, 0.9, 0.95, 0.99, 0.9999])
def test_another_program_gives_the_same(df: int, confidence: float) -> None:
    theirs = stats.t.ppf(0.5 + confidence / 2, df)
    assert t_quantile(confidence, df) == pytest.approx(theirs, rel=1e-8)
    assert t_within(theirs, df) == pytest.approx(confidence, rel=1e-10)


@pytest.mark.parametrize(("confidence", "df"), [(0.0, 3), (1.0, 3), (-0.1, 3), (0.95, 0)])
def test_what_has_no_answer_is_refused(confidence: float, df: int) -> None:
    with pytest.raises(ValueError, match="degree of freedom"):
        t_quantile(confidence, df)


@pytest.mark.parametrize(("t", "df"), [(-1.0, 3), (1.0, 0)])
def test_a_question_without_sense_is_refused(t: float, df: int) -> None:
    with pytest.raises(ValueError, match="degree of freedom"):
        t_within(t, df)
