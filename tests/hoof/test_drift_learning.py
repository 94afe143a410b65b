"""What a yard's series teach of its measurer and its trimmer, and when they teach nothing."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from measurements.hoof.drift.arrays import source_label
from measurements.hoof.drift.foot import prepare
from measurements.hoof.drift.learning import (
    LEAST_SCALE,
    VISITS_EACH,
    VISITS_THAT_TEACH,
    Variation,
    learn_variation,
    under,
    with_learned_error,
)
from measurements.hoof.drift.limit_surrogate import learned_limits
from measurements.hoof.drift.priors import DRIFT_PRIORS
from measurements.hoof.quantities import TrimState
from measurements.hoof.series import SeriesReading
from tests.bench.drift_learning import WORLDS, World, yard_foot
from tests.hoof.build import a_reading, a_series, the

PRIOR = DRIFT_PRIORS["toe_angle"]


def a_yard(world: World, feet: int, visits: int, seed: int = 3) -> list[list[SeriesReading]]:
    rng = np.random.default_rng(seed)
    return [yard_foot(world, visits, rng) for _ in range(feet)]


@cache
def learned(world: World) -> Variation:
    return the(learn_variation(a_yard(world, 20, 12), PRIOR))


@pytest.mark.parametrize("world", WORLDS, ids=lambda world: world.name)
def test_error_and_trim_variation_are_found_within_a_sixth(world: World) -> None:
    found = learned(world)
    assert found.error_scale == pytest.approx(world.error_sd, rel=1 / 6)
    assert found.trim_scale * PRIOR.trim_sd == pytest.approx(world.trim_sd, rel=1 / 6)


def test_it_says_from_how_much_it_learned() -> None:
    assert (learned(WORLDS[0]).visits, learned(WORLDS[0]).feet) == (240, 20)


def test_nothing_is_learned_from_too_few_visits() -> None:
    feet = VISITS_THAT_TEACH // VISITS_EACH
    assert learn_variation(a_yard(WORLDS[3], feet, VISITS_EACH), PRIOR) is not None
    assert learn_variation(a_yard(WORLDS[3], feet - 1, VISITS_EACH), PRIOR) is None


def test_feet_seen_too_seldom_do_not_count() -> None:
    assert learn_variation(a_yard(WORLDS[3], 60, VISITS_EACH - 1), PRIOR) is None


def test_nothing_is_learned_from_nothing() -> None:
    assert learn_variation([], PRIOR) is None
    assert learn_variation([[], []], PRIOR) is None


def test_little_more_than_enough_is_held_towards_the_table() -> None:
    yards = [a_yard(World("even", 1.0, 0.2), 10, 12, seed) for seed in range(6)]
    found = np.mean([the(learn_variation(yard, PRIOR)).trim_scale for yard in yards])
    assert 0.2 / PRIOR.trim_sd < found < 1.0


def test_values_copied_from_visit_to_visit_are_not_taken_for_perfect_measuring() -> None:
    copied = [a_series(12, growth=0.0) for _ in range(20)]
    found = the(learn_variation(copied, PRIOR))
    assert (found.error_scale, found.trim_scale) == (LEAST_SCALE, LEAST_SCALE)


def test_the_order_of_series_and_of_readings_does_not_matter() -> None:
    yard = a_yard(WORLDS[4], 20, 12)
    turned = [list(reversed(rows)) for rows in reversed(yard)]
    found = the(learn_variation(turned, PRIOR))
    assert found.error_scale == pytest.approx(learned(WORLDS[4]).error_scale)
    assert found.trim_scale == pytest.approx(learned(WORLDS[4]).trim_scale)


def test_readings_of_another_hand_are_left_aside() -> None:
    yard = a_yard(WORLDS[0], 20, 12)
    owner = [
        a_reading(
            at_days=49.0 * visit + 20.0,
            value=52.0 + 9.0 * (-1) ** visit,
            trim_index=visit,
            days_since_trim=20.0,
            trim_state=TrimState.BETWEEN,
            by="owner",
        )
        for visit in range(12)
    ]
    assert learn_variation([[*rows, *owner] for rows in yard], PRIOR) == learned(WORLDS[0])


def test_a_foot_that_drifts_fast_is_not_taken_for_uneven_trims() -> None:
    steady = [
        [replace(row, value=row.value + 0.15 * row.trim_index) for row in rows]
        for rows in a_yard(WORLDS[0], 20, 12)
    ]
    found = the(learn_variation(steady, PRIOR))
    assert found.trim_scale == pytest.approx(learned(WORLDS[0]).trim_scale, rel=0.15)


def test_a_few_wild_readings_are_not_taken_for_carelessness() -> None:
    wild = [
        [replace(row, value=row.value + 12.0 * (place == 7)) for place, row in enumerate(rows)]
        for rows in a_yard(WORLDS[0], 20, 12)
    ]
    found = the(learn_variation(wild, PRIOR))
    assert found.error_scale == pytest.approx(learned(WORLDS[0]).error_scale, rel=0.12)


def test_what_was_learned_counts_for_the_hand_and_for_every_trim() -> None:
    rows = a_series(6)
    taught = Variation(source_label(rows[0]), 1.5, 2.0, visits=240, feet=20)
    own, other = with_learned_error([rows[0], replace(rows[0], by="other")], taught)
    assert (own.sd, other.sd) == (1.5, 1.0)
    foot = under(prepare({"toe_angle": rows, "heel_angle": rows}, {}, None), taught)
    assert [judged.prior.trim_sd for judged in foot.pair] == [1.4, 1.4]


def test_limits_under_what_was_learned_need_no_simulation() -> None:
    rows = a_series(8)
    for scale in (0.5, 2.0):
        taught = Variation(source_label(rows[0]), scale, scale, visits=240, feet=20)
        scaled = with_learned_error(rows, taught)
        for readings in ({"toe_angle": scaled}, {"toe_angle": scaled, "heel_angle": scaled}):
            foot = under(prepare(readings, {}, None), taught)
            assert not np.isnan(learned_limits(foot.pair, foot.looks, 100.0)).any()
