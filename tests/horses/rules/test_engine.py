"""The life of an alert: raised once, told once, kept up to date, cleared when it ends."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from django.db import connection

from horses.models import Alert, Case, HistoryLine, Horse, Notice
from horses.rules import engine
from horses.rules.engine import Finding, evaluate
from tests.cast import Cast

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
FINDING = Finding("test.rule", "LF", "A title", "First sentence.", {"value": 1.5})


class Rules:
    """What the only rule of the test finds."""

    def __init__(self) -> None:
        self.found: list[Finding] = []

    def __call__(self, horse: Horse, now: datetime) -> Iterator[Finding]:
        yield from self.found


@pytest.fixture
def rules(monkeypatch: pytest.MonkeyPatch) -> Rules:
    made = Rules()
    monkeypatch.setattr(engine, "_rules", [made])
    return made


def _told() -> int:
    return Notice.objects.filter(verb="alert.raised", channel="app").count()


def test_a_finding_is_raised_once_however_often_it_is_found(
    rules: Rules, cast: Cast, now: datetime
) -> None:
    rules.found = [FINDING]
    for hours in range(3):
        evaluate(cast.horse, now=now + hours * HOUR)
    alert = Alert.objects.get()
    assert (alert.raised_at, alert.sentence) == (now, "First sentence.")
    assert _told() == 5  # each on the team once, the board's own act


def test_todays_numbers_stand_beside_the_first_ones(
    rules: Rules, cast: Cast, now: datetime
) -> None:
    rules.found = [FINDING]
    evaluate(cast.horse, now=now)
    rules.found = [replace(FINDING, sentence="Second sentence.", evidence={"value": 2.0})]
    evaluate(cast.horse, now=now + HOUR)
    alert = Alert.objects.get()
    assert (alert.sentence, alert.evidence) == ("First sentence.", {"value": 1.5})
    assert (alert.now_sentence, alert.now_evidence) == ("Second sentence.", {"value": 2.0})


def test_it_clears_when_it_is_found_no_more_and_says_so_in_the_history(
    rules: Rules, cast: Cast, now: datetime
) -> None:
    rules.found = [replace(FINDING, case=cast.case)]
    evaluate(cast.horse, now=now)
    rules.found = []
    evaluate(cast.horse, now=now + HOUR)
    assert Alert.objects.get().cleared_at == now + HOUR
    verbs = HistoryLine.objects.filter(case=cast.case, verb__startswith="alert.")
    assert list(verbs.values_list("verb", flat=True)) == ["alert.raised", "alert.cleared"]


def test_found_again_after_it_cleared_it_is_another_alert(
    rules: Rules, cast: Cast, now: datetime
) -> None:
    for step, found in enumerate(([FINDING], [], [FINDING])):
        rules.found = found
        evaluate(cast.horse, now=now + step * HOUR)
    assert Alert.objects.count() == 2
    assert _told() == 10


def test_a_remark_tells_nobody(rules: Rules, cast: Cast, now: datetime) -> None:
    rules.found = [replace(FINDING, weight="remark")]
    evaluate(cast.horse, now=now)
    assert (Alert.objects.count(), _told()) == (1, 0)
    assert not HistoryLine.objects.filter(verb="alert.raised").exists()


def test_a_remark_that_grows_to_an_alert_is_told_then(
    rules: Rules, cast: Cast, now: datetime
) -> None:
    rules.found = [replace(FINDING, weight="remark")]
    evaluate(cast.horse, now=now)
    rules.found = [FINDING]
    for hours in (1, 2):
        evaluate(cast.horse, now=now + hours * HOUR)
    assert (Alert.objects.get().weight, _told()) == ("alert", 5)


def test_an_alert_does_not_shrink_to_a_remark(rules: Rules, cast: Cast, now: datetime) -> None:
    rules.found = [FINDING]
    evaluate(cast.horse, now=now)
    rules.found = [replace(FINDING, weight="remark", sentence="Less.")]
    evaluate(cast.horse, now=now)
    assert Alert.objects.get().weight == "alert"


def test_what_got_worse_is_told_again_and_stays_the_same_alert(
    rules: Rules, cast: Cast, now: datetime
) -> None:
    rules.found = [replace(FINDING, severity=4.0, severity_sd=1.0)]
    evaluate(cast.horse, now=now)
    for hours, severity in ((1, 6.7), (2, 6.9), (3, 6.9)):  # the error is 1.96 times root 2
        rules.found = [replace(FINDING, severity=severity, severity_sd=1.0)]
        evaluate(cast.horse, now=now + hours * HOUR)
    assert Alert.objects.get().raised_at == now
    worse = Notice.objects.filter(verb="alert.worse", channel="app")
    assert (_told(), worse.count()) == (5, 5)
    assert set(worse.values_list("created_at", flat=True)) == {now + 2 * HOUR}


def test_two_subjects_of_a_rule_have_lives_of_their_own(
    rules: Rules, cast: Cast, now: datetime
) -> None:
    rules.found = [FINDING, replace(FINDING, subject="RF")]
    evaluate(cast.horse, now=now)
    rules.found = [FINDING]
    evaluate(cast.horse, now=now)
    assert Alert.objects.get(cleared_at=None).subject == "LF"


def test_an_alert_of_the_whole_horse_is_in_the_history_of_each_open_board_and_told_once(
    rules: Rules, cast: Cast, now: datetime
) -> None:
    Case.objects.filter(pk=cast.concern.pk).update(closed_at=None)
    rules.found = [FINDING]
    evaluate(cast.horse, now=now)
    lines = HistoryLine.objects.filter(verb="alert.raised").values_list("case", flat=True)
    assert set(lines) == {cast.case.pk, cast.concern.pk}
    assert Notice.objects.filter(person=cast.vet, channel="app", verb="alert.raised").count() == 1


def test_an_alert_of_one_board_stays_off_the_other(rules: Rules, cast: Cast, now: datetime) -> None:
    rules.found = [replace(FINDING, case=cast.concern)]
    evaluate(cast.horse, now=now)
    assert not HistoryLine.objects.filter(case=cast.case, verb="alert.raised").exists()


@pytest.mark.parametrize("state", ["paused", "ended"])
def test_a_pause_or_an_ending_clears_everything_and_raises_nothing(
    state: str, rules: Rules, cast: Cast, now: datetime
) -> None:
    rules.found = [FINDING]
    evaluate(cast.horse, now=now)
    Horse.objects.filter(pk=cast.horse.pk).update(state=state)
    evaluate(cast.horse, now=now + HOUR)
    assert not Alert.objects.filter(cleared_at=None).exists()


def _breaks(horse: Horse, at: datetime) -> Iterator[Finding]:
    yield FINDING
    raise RuntimeError("no such foot")


def test_a_rule_that_fails_raises_nothing_and_says_so(
    cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engine, "_rules", [_breaks])
    assert evaluate(cast.horse, now=now) is False
    assert not Alert.objects.exists()


def test_a_rule_that_fails_does_not_silence_the_others(
    cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engine, "_rules", [_breaks, lambda horse, at: [FINDING]])
    evaluate(cast.horse, now=now)
    assert Alert.objects.filter(cleared_at=None).count() == 1


def test_a_rule_that_fails_clears_nothing_that_stood(
    cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engine, "_rules", [lambda horse, at: [FINDING]])
    evaluate(cast.horse, now=now)
    monkeypatch.setattr(engine, "_rules", [_breaks])
    evaluate(cast.horse, now=now)
    assert Alert.objects.filter(cleared_at=None).count() == 1


def test_what_takes_long_is_done_before_the_horse_is_locked(
    rules: Rules, cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    depth = []
    note = lambda *_: depth.append(len(connection.savepoint_ids))  # noqa: E731
    note.__name__ = "note"
    monkeypatch.setattr(engine, "_preparers", [note])
    monkeypatch.setattr(engine, "_settlers", [note])
    outside = len(connection.savepoint_ids)
    engine.evaluation_job(cast.horse.public_id, now)
    assert depth == [outside, outside + 1]


def test_a_preparation_that_fails_leaves_the_rules_to_run(
    rules: Rules, cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise ValueError("no")

    monkeypatch.setattr(engine, "_preparers", [fails])
    rules.found = [FINDING]
    engine.evaluation_job(cast.horse.public_id, now)
    assert Alert.objects.count() == 1


def test_nothing_is_prepared_for_a_horse_whose_care_rests(
    rules: Rules, cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []
    monkeypatch.setattr(engine, "_preparers", [lambda *_: asked.append(1)])
    Horse.objects.filter(pk=cast.horse.pk).update(state="paused")
    engine.evaluation_job(cast.horse.public_id, now)
    assert asked == []
