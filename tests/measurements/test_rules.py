"""The rules on the numbers, from readings to what is told and what only stands on the board."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import numpy as np
import pytest
from django.db import connection

from horses.models import Alert, Case, Notice
from horses.rules.engine import Finding, evaluate, evaluation_job
from measurements.hoof.drift import alarm
from measurements.hoof.drift.limits import alarm_limits
from measurements.hoof.drift.looks import Looks
from measurements.hoof.shape_finding import ShapeRule
from measurements.hoof.shape_sentences import SHAPE_TITLES
from measurements.rules.numbers import numbers_rules
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def _found(cast: Cast, now: datetime) -> dict[str, Finding]:
    return {finding.rule: finding for finding in numbers_rules(cast.horse, now)}


def _band_and_reading(cast: Cast, now: datetime, value: float, *, days_after: int = 1) -> None:
    set_at = now - 30 * DAY
    build.target(cast.access(cast.vet), set_at, from_on=set_at.date())
    on = set_at.date() + days_after * DAY
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", value, on)


def test_without_numbers_nothing_is_found(cast: Cast, now: datetime) -> None:
    build.target(cast.access(cast.vet), now)
    assert _found(cast, now) == {}


def test_surely_outside_the_band_is_an_alert_with_its_evidence(cast: Cast, now: datetime) -> None:
    _band_and_reading(cast, now, 40)
    finding = _found(cast, now)["band.outside"]
    assert (finding.weight, finding.case) == ("alert", cast.case)
    assert finding.evidence["band_low"] == 50
    assert finding.evidence["readings"][0]["value"] == 40
    assert finding.evidence["readings"][0]["taken_by"] == "Finn Farrier"


def test_at_the_edge_is_a_remark(cast: Cast, now: datetime) -> None:
    _band_and_reading(cast, now, 49.9)
    assert _found(cast, now)["band.outside"].weight == "remark"


def test_a_reading_older_than_the_band_is_a_remark(cast: Cast, now: datetime) -> None:
    _band_and_reading(cast, now, 40, days_after=-5)
    assert _found(cast, now)["band.outside"].weight == "remark"


def test_inside_the_band_nothing_is_said_of_it(cast: Cast, now: datetime) -> None:
    _band_and_reading(cast, now, 52)
    assert "band.outside" not in _found(cast, now)


def test_an_alert_clears_when_the_next_reading_is_inside(
    cast: Cast, now: datetime, drain: Callable[..., int]
) -> None:
    _band_and_reading(cast, now, 40)
    drain()
    assert Alert.objects.get(rule="band.outside").cleared_at is None
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 52, now.date())
    drain()
    assert Alert.objects.get(rule="band.outside").cleared_at == now


def test_a_band_alert_stands_on_the_board_whose_plan_holds_the_band_only(
    cast: Cast, now: datetime
) -> None:
    _band_and_reading(cast, now, 40)
    evaluate(cast.horse, now=now)
    told = Notice.objects.filter(verb="alert.raised", subject__contains="band")
    assert set(told.values_list("case", flat=True)) == {cast.case.pk}
    assert Case.objects.filter(horse=cast.horse).count() == 2


def _underrun(cast: Cast, now: datetime, days_ago: int, heel: float) -> None:
    on = now.date() - days_ago * DAY
    farrier = cast.access(cast.farrier)
    build.reading(farrier, now, "LF", "toe_angle", 52, on)
    build.reading(farrier, now, "LF", "heel_angle", heel, on)


def _shape(cast: Cast, now: datetime) -> Finding | None:
    found = _found(cast, now)
    return next((f for rule, f in found.items() if rule.startswith("shape.")), None)


def test_a_shape_at_the_first_look_is_a_remark(cast: Cast, now: datetime) -> None:
    """Most shape rules flag a third or more of ordinary horses: what was always so is no news."""
    _underrun(cast, now, 0, 38)
    finding = _shape(cast, now)
    assert finding is not None
    assert finding.weight == "remark"
    assert len(finding.evidence["readings"]) == 2


def test_a_shape_that_is_new_is_an_alert(cast: Cast, now: datetime) -> None:
    _underrun(cast, now, 49, 52)
    _underrun(cast, now, 0, 38)
    finding = _shape(cast, now)
    assert finding is not None
    assert finding.weight == "alert"


def test_a_shape_that_people_know_of_is_told_again_only_when_it_is_worse(
    cast: Cast, now: datetime
) -> None:
    _underrun(cast, now, 98, 40)
    evaluate(cast.horse, now=now)
    _underrun(cast, now, 49, 40)
    same = _shape(cast, now)
    assert same is not None
    assert same.weight == "remark"
    _underrun(cast, now, 0, 20)
    worse = _shape(cast, now)
    assert worse is not None
    assert worse.weight == "alert"


def _heels(cast: Cast, now: datetime, days_ago: int, longer: float) -> None:
    """Two heels of different length, by a method that errs by some 7 mm between the two."""
    on, farrier = now.date() - days_ago * DAY, cast.access(cast.farrier)
    build.reading(farrier, now, "LF", "heel_length_medial", 40 + longer, on)
    build.reading(farrier, now, "LF", "heel_length_lateral", 40, on)


def test_a_shape_that_error_alone_could_explain_was_not_told(cast: Cast, now: datetime) -> None:
    _heels(cast, now, 98, 5.3)
    evaluate(cast.horse, now=now)
    assert Alert.objects.get(rule="shape.sheared_heels").weight == "remark"
    _heels(cast, now, 0, 11)
    evaluate(cast.horse, now=now)
    assert Alert.objects.get(rule="shape.sheared_heels").weight == "alert"


def test_slow_worsening_counts_from_what_people_were_told(cast: Cast, now: datetime) -> None:
    """What stood on the board as no worse in between does not move the mark."""
    for days_ago, heel in ((98, 40), (91, 52), (49, 37), (42, 52)):
        _underrun(cast, now, days_ago, heel)
        evaluate(cast.horse, now=now - days_ago * DAY)
    weights = Alert.objects.filter(rule="shape.underrun_heel").values_list("weight", flat=True)
    assert list(weights) == ["remark", "remark"]
    _underrun(cast, now, 0, 33)
    worse = _shape(cast, now)
    assert worse is not None
    assert worse.weight == "alert"


def test_a_shape_is_told_of_the_day_it_was_measured(cast: Cast, now: datetime) -> None:
    _underrun(cast, now, 60, 38)
    finding = _shape(cast, now)
    assert finding is not None
    assert finding.sentence.startswith("On 3 Sep 2026 the left fore heel angle (38.0°) was ")


def test_every_shape_rule_has_its_title() -> None:
    assert set(SHAPE_TITLES) == set(ShapeRule)


def _unknown(pair: object, looks: Looks, every: float) -> np.ndarray:
    return np.where(looks.share > 0, np.nan, np.inf)


def test_no_limits_are_worked_out_while_the_horse_is_locked(
    cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    farrier = cast.access(cast.farrier)
    for number in range(6):
        at = now - (10 + 49 * number) * DAY
        build.reading(farrier, at, "LF", "toe_angle", 51, at.date())
    where = []

    def noted(*arguments: Any) -> Any:
        where.append(len(connection.savepoint_ids))
        return alarm_limits(*arguments)

    monkeypatch.setattr(alarm, "alarm_limits", noted)
    monkeypatch.setattr(alarm, "learned_limits", _unknown)
    outside = len(connection.savepoint_ids)
    evaluation_job(cast.horse.public_id, now)
    assert where == [outside]
    assert cast.horse.verdicts.filter(foot="LF").count() == 1
    evaluation_job(cast.horse.public_id, now)
    assert where == [outside]  # the verdict is there: nothing to prepare
