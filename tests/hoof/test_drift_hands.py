"""A change of hands: where it is seen, what it weighs, and what pairs of readings settle."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from measurements.hoof.drift import surprise
from measurements.hoof.drift.alarm import certain_at
from measurements.hoof.drift.arrays import same_foot_pairs
from measurements.hoof.drift.foot import limits_key, prepare
from measurements.hoof.drift.hands import HandReading, find_handovers
from measurements.hoof.drift.limits import (
    PAIR_PATHS,
    PATHS,
    simulate_residuals,
    simulate_statistics,
)
from measurements.hoof.drift.look_statistics import statistics_by_look
from measurements.hoof.drift.offsets import HandPair, offset_prior
from measurements.hoof.drift.priors import SECOND_TRIM_DOUBT, SECOND_TRIM_SCALE, SHARED_TRIM
from measurements.hoof.drift.replay import fit_at
from measurements.hoof.drift.verdict import DriftState, judge
from measurements.hoof.quantities import Method, TrimState
from measurements.hoof.series import SeriesReading
from tests.bench.drift_batch import batch_statistics
from tests.hoof.build import a_series, the

CHANGE = 8  # the visit at which another takes over
FIRST, SECOND = "gauge\0farrier", "gauge\0second"


def taken_over(
    *, step: float = 0.0, offset: float = 0.0, before: bool = False, noise: float = 0.0
) -> list[SeriesReading]:
    """Fourteen visits; another hand from visit `CHANGE` on, reading `offset` higher.

    `before`: it also measures before its first trim. `step`: the foot changes at that trim.
    """

    def is_new(row: SeriesReading) -> bool:
        visit = round(row.at_days / 49.0)
        return visit > CHANGE or (visit == CHANGE and (before or row.trim_state is TrimState.AFTER))

    rows = a_series(14, step=step, onset=CHANGE - 1, noise=noise)
    return [replace(r, by="second", value=r.value + offset) if is_new(r) else r for r in rows]


def beside(rows: Sequence[SeriesReading], visits: Sequence[int], by: str) -> list[SeriesReading]:
    """What another hand reads after the trim of some visits, beside the one whose foot it is."""
    own = {round(r.at_days / 49.0): r for r in rows if r.trim_state is TrimState.AFTER}
    return [replace(own[visit], by=by, key=f"{by}{visit}") for visit in visits]


def found(rows: list[SeriesReading]) -> list[tuple[int, int, int]]:
    """The changes of hands as first and last onset (trim numbers) and the visit that shows them."""
    foot = prepare({"toe_angle": rows}, {}, None)
    return [
        (h.first_onset + foot.first_trim, h.last_onset + foot.first_trim, h.known_from)
        for h in foot.looks.handovers
    ]


def pair(difference: float, foot: str = "RF", first: str = SECOND, second: str = FIRST) -> HandPair:
    return HandPair(300.0, foot, first, second, difference, 2**0.5)


@pytest.mark.parametrize("before", [False, True])
def test_a_new_hand_is_seen_at_its_first_visit(before: bool) -> None:
    assert found(taken_over(before=before)) == [(CHANGE - 1, CHANGE - 1, CHANGE)]


def test_the_same_hands_have_not_changed() -> None:
    assert found(a_series(14)) == []


def test_another_way_of_measuring_is_another_hand() -> None:
    rows = [replace(r, method=Method.PHOTO) if r.at_days > 5 * 49 - 1 else r for r in a_series(9)]
    assert len(found(rows)) == 1


def test_who_measures_beside_the_old_hand_has_not_taken_over() -> None:
    rows = a_series(9)
    assert found([*rows, *beside(rows, [4, 5, 6], "second")]) == []


def test_who_measured_beside_the_old_hand_takes_over_later() -> None:
    rows = taken_over()
    changes = found([*rows, *beside(rows, [4, 5, 6], "second")])
    assert changes == [(CHANGE - 1, CHANGE - 1, CHANGE)]


def test_whoever_comes_back_is_no_new_hand() -> None:
    rows = [replace(r, by="stand-in") if round(r.at_days / 49) == 5 else r for r in a_series(12)]
    assert [visit for *_, visit in found(rows)] == [5]


def test_owners_readings_between_visits_are_no_change_of_hands() -> None:
    rows = a_series(6)
    owner = replace(
        rows[-1], at_days=260.0, days_since_trim=15.0, trim_state=TrimState.BETWEEN, by="owner"
    )
    assert found([*rows, owner]) == []


def test_later_visits_do_not_move_a_known_change() -> None:
    rows = [HandReading(v, v, True, "a" if v < 5 else "b") for v in range(12)]
    assert find_handovers(rows)[0] == find_handovers(rows[:6])[0]


def test_the_extra_chance_is_shared_among_the_onsets_that_fall_together_with_it() -> None:
    rows = taken_over()
    foot = prepare({"toe_angle": [*rows, *beside(rows, [CHANGE], "farrier")]}, {}, None)
    shares = foot.looks.handovers[0].shares()
    assert sum(shares.values()) == pytest.approx(1.0)
    assert set(shares) == {CHANGE, CHANGE + 1}  # numbered from the trim before the first visit


@pytest.mark.parametrize("path", [0, 7, 133])
def test_statistic_limits_and_benchmark_agree_after_a_change_of_hands(
    path: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    foot = prepare({"toe_angle": taken_over(), "heel_angle": taken_over()}, {}, None)
    residuals = [
        simulate_residuals(j, i, 2000)[:, :200].astype(float) for i, j in enumerate(foot.pair)
    ]
    batch = batch_statistics(foot, [r[:, path : path + 1] for r in residuals])[:, 0]
    pair = tuple(
        replace(j, arrays=replace(j.arrays, value=j.arrays.mean + r[:, path]))
        for j, r in zip(foot.pair, residuals, strict=True)
    )
    assert statistics_by_look(pair, foot.looks) == pytest.approx(batch, abs=1e-9)
    monkeypatch.setattr(surprise, "DOWNWEIGHT_FROM_SD", 1e3)  # the limits know no weights
    bare = batch_statistics(foot, [r[:, path : path + 1] for r in residuals])[-1, 0]
    assert simulate_statistics(foot.pair, foot.looks)[-1, path] == pytest.approx(bare, abs=5e-3)


def test_a_fall_of_three_degrees_with_the_new_hand_measuring_first_is_found() -> None:
    assert judge({"toe_angle": taken_over(step=-3.0, before=True)}).state is not DriftState.QUIET


def test_a_hand_that_reads_two_degrees_lower_raises_nothing() -> None:
    assert judge({"toe_angle": taken_over(offset=-2.0, noise=0.5)}).state is DriftState.QUIET


def test_pairs_on_other_feet_take_a_hands_offset_out() -> None:
    rows = taken_over(offset=-3.0)
    learned = {"toe_angle": [pair(-3.0, foot) for foot in ("RF", "LH", "RH", "RF", "LH")]}
    with_pairs, without = judge({"toe_angle": rows}, pairs=learned), judge({"toe_angle": rows})
    assert with_pairs.statistic is not None
    assert without.statistic is not None
    assert with_pairs.statistic < without.statistic


def test_pairs_that_read_alike_tell_a_changed_foot_from_a_changed_hand() -> None:
    rows = taken_over(step=-3.0)
    alike = {"toe_angle": [pair(0.0, foot) for foot in ("RF", "LH", "RH", "RF", "LH")]}
    assert judge({"toe_angle": rows}, pairs=alike).state is not DriftState.QUIET


def test_an_alarm_is_not_dated_before_the_pairs_that_made_it_certain() -> None:
    rows = taken_over(step=-2.6)
    foot = prepare({"toe_angle": rows}, {}, None, {"toe_angle": [pair(0.0)]})
    late = replace(foot, newest_pair_days=float(foot.looks.at_days[12]))
    assert certain_at(late, 9, None) == 12
    assert certain_at(late, 9, 10) == 10
    assert certain_at(late, 13, 10) == 13


def test_the_offsets_given_pairs_are_those_of_the_normal_law() -> None:
    # Two hands, offsets SD 1, one pair of difference 2 on another foot, each hand's own share of a
    # foot 0.5: var d = 2 + 0.5 + 2 and cov(o, d) = 1.
    prior = offset_prior([FIRST, SECOND], 1.0, [pair(2.0)], Counter())
    assert prior.mean == pytest.approx([-2.0 / 4.5, 2.0 / 4.5])
    spread = prior.root @ prior.root.T
    assert spread == pytest.approx(np.array([[1.25 - 1 / 4.5, 1 / 4.5], [1 / 4.5, 1.25 - 1 / 4.5]]))


def test_pairs_of_other_people_say_nothing() -> None:
    prior = offset_prior([FIRST, SECOND], 1.0, [pair(2.0, first="x", second=FIRST)], Counter())
    assert prior.mean == pytest.approx([0.0, 0.0])
    assert prior.root == pytest.approx(np.eye(2))


def test_one_wild_pair_among_many_teaches_little() -> None:
    good = [pair(0.0, foot) for foot in ("RF", "LH", "RH", "RF", "LH")]
    prior = offset_prior([FIRST, SECOND], 1.0, [*good, pair(12.0, "RH")], Counter())
    assert abs(prior.mean[1] - prior.mean[0]) < 0.8


def test_from_five_pairs_on_hands_may_differ_twice_as_much() -> None:
    rows = taken_over()
    counts = same_foot_pairs([*rows, *beside(rows, range(3, 8), "second")])
    assert counts[FIRST] == counts[SECOND] == 5
    assert offset_prior([FIRST], 1.0, [], counts).root[0, 0] == 2.0
    assert offset_prior([FIRST], 1.0, [], counts - Counter({FIRST: 1})).root[0, 0] == 1.0


def test_the_order_of_pairs_does_not_matter() -> None:
    pairs = [pair(0.3, "RF"), pair(-1.0, "LH"), pair(0.4, "LH")]
    one, other = (
        judge({"toe_angle": taken_over(step=-2.0)}, pairs={"toe_angle": order})
        for order in (pairs, [*pairs[::-1], pairs[0]])
    )
    assert one == other


def test_limits_are_kept_apart_by_where_the_hands_changed() -> None:
    one = prepare({"toe_angle": taken_over()}, {}, None)
    other = prepare({"toe_angle": taken_over(before=True)}, {}, None)
    same = prepare({"toe_angle": taken_over(step=2.0)}, {}, None)
    assert limits_key(one, 100.0) != limits_key(other, 100.0)
    assert limits_key(one, 100.0) == limits_key(same, 100.0)


def test_limits_are_kept_apart_by_the_trim_that_a_new_hand_made() -> None:
    """A reading called before the trim or after it may otherwise have all numbers alike."""
    rows = taken_over()
    called_before = [
        replace(r, trim_state=TrimState.BEFORE)
        if r.by == "second" and r.trim_state is TrimState.AFTER and r.trim_index == CHANGE
        else r
        for r in rows
    ]
    one, other = (prepare({"toe_angle": each}, {}, None) for each in (rows, called_before))
    assert one.looks.handovers != other.looks.handovers
    assert np.array_equal(one.pair[0].arrays.design, other.pair[0].arrays.design)
    assert limits_key(one, 100.0) != limits_key(other, 100.0)


def test_the_paths_of_a_pair_share_what_one_trim_leaves() -> None:
    quiet = a_series(6, sd=1e-6)
    foot = prepare({"toe_angle": quiet, "heel_angle": quiet}, {}, None)
    bare = [
        replace(j, arrays=replace(j.arrays, design_sd=np.full_like(j.arrays.design_sd, 1e-9)))
        for j in foot.pair
    ]
    toe, heel = (simulate_residuals(j, i, 4000)[-1] for i, j in enumerate(bare))
    assert np.corrcoef(toe, heel)[0, 1] == pytest.approx(SHARED_TRIM, abs=0.05)
    assert heel.std() / toe.std() == pytest.approx(SECOND_TRIM_SCALE, abs=0.05)


def test_beside_a_toe_the_heel_weighs_less_in_the_search_and_in_full_when_described() -> None:
    rows = a_series(8)
    beside_a_toe = prepare({"toe_angle": rows, "heel_angle": rows}, {}, None)
    alone = prepare({"heel_angle": rows}, {}, None)
    heel, looking = beside_a_toe.pair[1], len(beside_a_toe.looks) - 1
    plain = the(fit_at(alone.pair[0], alone.looks, looking, 0)).grid.trim_sd
    searched = the(fit_at(heel, beside_a_toe.looks, looking, 0)).grid.trim_sd
    described = the(fit_at(heel, beside_a_toe.looks, looking, 0, told_since=0)).grid.trim_sd
    assert searched == pytest.approx(SECOND_TRIM_DOUBT * plain)
    assert described == pytest.approx(plain)


def test_the_limits_of_a_pair_are_taken_from_more_paths() -> None:
    rows = a_series(4)
    foot = prepare({"toe_angle": rows, "heel_angle": rows}, {}, None)
    assert simulate_statistics(foot.pair, foot.looks).shape[1] == PAIR_PATHS > PATHS
    assert simulate_statistics(foot.pair[:1], foot.looks).shape[1] == PATHS
