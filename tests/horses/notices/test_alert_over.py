"""Of an alert that is over nobody has an unread notice which says only that it was so."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from horses.models import Alert, Notice
from horses.notices.create import notices_for, unread_count
from horses.rules import engine
from horses.rules.engine import Finding, evaluate
from horses.services.alerts import alert_answer
from horses.services.horses import horse_set_state
from tests.cast import Cast

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
DRIFT = Finding(
    "foot.drift",
    "LF",
    "Slow change",
    "It fell.",
    cause="LF:angles",
    way="falls",
    severity=3.0,
    severity_sd=0.5,
)
BAND = Finding("band.outside", "LF:toe_angle:after", "Outside", "47.", cause="LF:angles")
SOLE = Finding("shape.thin_sole", "RF", "Thin sole", "9 mm.")


@pytest.fixture
def found(monkeypatch: pytest.MonkeyPatch) -> list[Finding]:
    findings = [DRIFT]
    monkeypatch.setattr(engine, "_rules", [lambda horse, at: findings])
    monkeypatch.setattr(engine, "_followers", {})
    return findings


def new_to_the_vet(cast: Cast) -> list[str]:
    """The alerts of which the vet has an unread notice, each once however many boards told of it."""
    unread = notices_for(cast.vet).filter(read_at=None, verb__startswith="alert.")
    return sorted({notice.subject.partition(": ")[2] for notice in unread})


def test_what_is_over_is_not_counted_as_unread_and_stays_in_the_list(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    before = unread_count(cast.vet)
    evaluate(cast.horse, now=now)
    assert new_to_the_vet(cast) == ["Slow change"]
    found.clear()
    evaluate(cast.horse, now=now + HOUR)
    assert unread_count(cast.vet) == before
    assert notices_for(cast.vet).filter(verb="alert.raised").exists()


def test_it_is_over_too_when_the_horses_care_ends(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    horse_set_state(access=cast.access(cast.owner), state="ended", reason="sold", now=now)
    evaluate(cast.horse, now=now + HOUR)
    assert new_to_the_vet(cast) == []


def test_a_notice_of_two_findings_stays_new_until_both_are_over(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    found.append(BAND)
    evaluate(cast.horse, now=now)
    found.remove(DRIFT)  # which gave the notice its name
    evaluate(cast.horse, now=now + HOUR)
    assert new_to_the_vet(cast) == ["Slow change"]
    found.clear()
    evaluate(cast.horse, now=now + 2 * HOUR)
    assert new_to_the_vet(cast) == []


def test_another_alert_keeps_its_notice(found: list[Finding], cast: Cast, now: datetime) -> None:
    found.append(SOLE)
    evaluate(cast.horse, now=now)
    found.remove(DRIFT)
    evaluate(cast.horse, now=now + HOUR)
    assert new_to_the_vet(cast) == ["Thin sole"]


def test_a_change_that_goes_the_other_way_leaves_one_new_notice(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    found[:] = [replace(DRIFT, title="Rises", way="rises")]
    evaluate(cast.horse, now=now + HOUR)
    assert new_to_the_vet(cast) == ["Rises"]


def test_what_somebody_wrote_of_it_stays_new(
    found: list[Finding], cast: Cast, now: datetime
) -> None:
    evaluate(cast.horse, now=now)
    alert = Alert.objects.get(cleared_at=None)
    alert_answer(
        access=cast.access(cast.farrier),
        alert_id=alert.public_id,
        words="I trim it Friday.",
        now=now,
    )
    found.clear()
    evaluate(cast.horse, now=now + HOUR)
    assert new_to_the_vet(cast) == ["Finn Farrier answered an alert"]


def test_a_mail_on_its_way_is_not_touched(found: list[Finding], cast: Cast, now: datetime) -> None:
    evaluate(cast.horse, now=now)
    found.clear()
    evaluate(cast.horse, now=now + HOUR)
    assert not Notice.objects.filter(channel="mail").exclude(read_at=None).exists()
