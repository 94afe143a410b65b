"""Dangers alert at first sight: films, and jumps that are a slip or an emergency."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest

from horses.models import Alert, Notice
from horses.queries.board import alerts_for
from horses.rules.engine import Finding, evaluate
from measurements.rules.jumps import gross_jumps
from measurements.rules.numbers import numbers_rules
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def filmed(cast: Cast, now: datetime, on: date, state: str = "between", **values: float) -> None:
    """`LF_sole_depth=7`: films of one day."""
    for name, value in values.items():
        foot, quantity = name.split("_", 1)
        build.reading(
            cast.access(cast.vet),
            now,
            foot,
            quantity,
            value,
            on,
            method="radiograph",
            trim_state=state,
        )


def shapes(cast: Cast, now: datetime) -> dict[tuple[str, str], Finding]:
    return {(f.rule, f.subject): f for f in numbers_rules(cast.horse, now)}


def test_a_first_film_of_a_sunk_bone_and_thin_soles_is_alerts_and_not_remarks(
    cast: Cast, now: datetime, drain: Callable[..., int]
) -> None:
    filmed(cast, now, now.date(), LF_palmar_angle=-4.5, LF_sole_depth=7, RF_sole_depth=8)
    drain()
    alerts = alerts_for(cast.access(cast.owner))
    assert {(a.rule, a.subject, a.weight, a.danger) for a in alerts} == {
        ("shape.negative_palmar_angle", "LF", "alert", True),
        ("shape.thin_sole", "LF", "alert", True),
        ("shape.thin_sole", "RF", "alert", True),
    }
    assert all("ing the vet" in a.now_sentence for a in alerts if a.rule == "shape.thin_sole")


def test_a_palmar_angle_of_twelve_degrees_is_an_alert(cast: Cast, now: datetime) -> None:
    filmed(cast, now, now.date(), RH_palmar_angle=12)
    finding = shapes(cast, now)["shape.steep_palmar_angle", "RH"]
    assert (finding.weight, finding.danger, finding.severity) == ("alert", True, 2.0)
    assert "right hind plantar angle on the radiograph was 12.0°, over 10.0°" in finding.sentence


def test_films_of_left_and_right_that_differ_are_an_alert(cast: Cast, now: datetime) -> None:
    filmed(cast, now, now.date() - 5 * DAY, LF_palmar_angle=1)
    filmed(cast, now, now.date(), RF_palmar_angle=8)
    finding = shapes(cast, now)["shape.uneven_palmar_angles", "LF-RF"]
    assert (finding.weight, finding.danger) == ("alert", True)


def test_films_of_different_months_are_not_compared(cast: Cast, now: datetime) -> None:
    filmed(cast, now, now.date() - 40 * DAY, LF_palmar_angle=1)
    filmed(cast, now, now.date(), RF_palmar_angle=8)
    assert shapes(cast, now) == {}


def test_wide_nets_stay_remarks_at_first_sight(cast: Cast, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    build.reading(farrier, now, "LF", "toe_angle", 52, now.date())
    build.reading(farrier, now, "LF", "heel_angle", 38, now.date())
    [finding] = shapes(cast, now).values()
    assert (finding.rule, finding.weight, finding.danger) == (
        "shape.underrun_heel",
        "remark",
        False,
    )


def test_a_film_counts_until_a_newer_one_and_says_its_age(cast: Cast, now: datetime) -> None:
    filmed(cast, now, now.date() - 300 * DAY, LF_sole_depth=8)
    evaluate(cast.horse, now=now)
    alert = Alert.objects.get(rule="shape.thin_sole")
    assert "That is 10 months ago; no film is newer." in alert.now_sentence
    filmed(cast, now, now.date(), LF_sole_depth=18)
    evaluate(cast.horse, now=now)
    alert.refresh_from_db()
    assert alert.cleared_at == now


def test_of_two_films_of_one_day_the_thinner_sole_counts(cast: Cast, now: datetime) -> None:
    filmed(cast, now, now.date(), LF_sole_depth=9)
    filmed(cast, now, now.date(), LF_sole_depth=16)
    assert ("shape.thin_sole", "LF") in shapes(cast, now)


def test_a_thin_sole_that_gets_thinner_is_told_again_and_one_that_stays_is_not(
    cast: Cast, now: datetime
) -> None:
    for days_ago, depth in ((40, 12), (20, 11.5), (0, 8)):
        filmed(cast, now, now.date() - days_ago * DAY, LF_sole_depth=depth)
        evaluate(cast.horse, now=now - days_ago * DAY)
    alert = Alert.objects.get(rule="shape.thin_sole")
    assert (alert.severity, alert.cleared_at) == (7.0, None)
    told = Notice.objects.filter(person=cast.farrier, verb__startswith="alert.", channel="app")
    verbs = list(
        told.filter(subject__contains="thin sole").order_by("pk").values_list("verb", flat=True)
    )
    assert verbs == ["alert.raised", "alert.worse"]


def toe(cast: Cast, now: datetime, value: float, days_ago: int, state: str = "between") -> None:
    on = now.date() - days_ago * DAY
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", value, on, trim_state=state)


def jumps(cast: Cast, now: datetime) -> list[Finding]:
    return list(gross_jumps(cast.horse, now))


def test_a_jump_that_was_kept_asks_to_measure_again_today(cast: Cast, now: datetime) -> None:
    toe(cast, now, 52, 18, "after")
    toe(cast, now, 41, 0)
    [finding] = jumps(cast, now)
    assert (finding.rule, finding.subject, finding.weight, finding.danger) == (
        "reading.jump",
        "LF:toe_angle",
        "alert",
        True,
    )
    assert finding.title == "Left fore toe angle: changed at once, measure again today"
    assert finding.sentence == (
        "Left fore toe angle: 52° on 15 Oct 2026, then 41° 18 days later, 2 Nov 2026. "
        "That is a slip or an emergency: measure again, today. Sore, hot or unwilling to move: "
        "call your vet now."
    )
    assert finding.severity is not None
    assert finding.severity > 9


def test_a_jump_that_was_measured_again_is_the_vets(cast: Cast, now: datetime) -> None:
    toe(cast, now, 52, 18, "after")
    toe(cast, now, 41, 1)
    toe(cast, now, 40.5, 0)
    [finding] = jumps(cast, now)
    assert "it is no slip: ring the vet today" in finding.sentence


def test_a_slip_that_was_put_right_is_no_more_spoken_of(cast: Cast, now: datetime) -> None:
    toe(cast, now, 52, 18, "after")
    toe(cast, now, 41, 1)
    evaluate(cast.horse, now=now)
    toe(cast, now, 51.5, 0)
    evaluate(cast.horse, now=now)
    assert Alert.objects.get(rule="reading.jump").cleared_at == now


def test_a_jump_nobody_can_measure_again_is_no_more_asked_about(cast: Cast, now: datetime) -> None:
    toe(cast, now, 52, 110, "after")
    toe(cast, now, 41, 100)
    assert len(jumps(cast, now - 90 * DAY)) == 1
    for days_ago in (60, 10):
        build.visit(cast.access(cast.farrier), now, now.date() - days_ago * DAY)
    assert jumps(cast, now) == []


def test_a_reading_seven_trims_old_is_not_asked_about_again(cast: Cast, now: datetime) -> None:
    levels = [52.0, 52, 42, 52, 51, 50, 49, 48, 47, 46]
    build.series(cast.access(cast.farrier), now, levels)
    evaluate(cast.horse, now=now)
    sentence = Alert.objects.get(rule="foot.drift").sentence
    assert "Measure again, please" not in sentence
