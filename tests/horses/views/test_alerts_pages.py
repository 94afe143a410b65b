"""One alert: its numbers, what was allowed for, who has seen and answered it."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.http import HttpResponse

from horses.models import Alert, AlertResponse
from horses.rules.alert_life import alert_keep_up
from horses.rules.engine import Finding
from horses.services.visit_planning import visit_plan
from tests.cast import Cast
from tests.horses.doors import Door, shut, text_of, told, verbs

pytestmark = pytest.mark.usefixtures("clock_stands")

EVIDENCE = {
    "foot": "LF",
    "quantity": "toe_angle",
    "band_low": 50.0,
    "band_high": 54.0,
    "past_edge": 1.5,
    "detectable_change": 2.8,
    "readings": [{"reading": "r1", "value": 48.5, "taken_on": "2026-10-12", "method": "gauge"}],
}


def make_alert(cast: Cast, now: datetime, **more: Any) -> Alert:
    fields: dict[str, Any] = {
        "horse": cast.horse,
        "case": None,
        "rule": "band.outside",
        "subject": "LF:toe_angle:after",
        "weight": "alert",
        "title": "Left fore toe angle: outside its band",
        "sentence": "The left fore toe angle was 48.5°, under the vet's band.",
        "evidence": EVIDENCE,
        "true_since": now,
        "raised_at": now,
        "now_evidence": EVIDENCE,
        "now_at": now,
        **more,
    }
    return Alert.objects.create(**{"now_sentence": fields["sentence"], **fields})


@pytest.fixture
def alert(cast: Cast, now: datetime) -> Alert:
    return make_alert(cast, now)


def page_of(cast: Cast, who: str, alert: Alert) -> str:
    return text_of(Door(getattr(cast, who), cast.case).get("alert", alert.public_id))


def post(cast: Cast, who: str, alert: Alert, **fields: str) -> HttpResponse:
    return Door(getattr(cast, who), cast.case).post("alert", alert.public_id, **fields)


def test_everyone_reads_the_sentence_and_the_numbers_behind_it(cast: Cast, alert: Alert) -> None:
    for who in ("owner", "farrier", "vet", "carer"):
        page = page_of(cast, who, alert)
        assert "under the vet&#x27;s band" in page
        assert '<th scope="row">Band, lower end</th><td>50°</td>' in page
        # A database may keep the evidence's keys in another order.
    for cell in ("48.5°", "12 Oct 2026", "gauge"):
        assert f"<td>{cell}</td>" in page


def test_it_says_what_was_allowed_for(cast: Cast, alert: Alert) -> None:
    page = page_of(cast, "owner", alert)
    assert "What was allowed for" in page
    assert "<td>2.8°</td>" in page


def test_it_says_that_it_is_a_prompt_and_no_diagnosis(cast: Cast, alert: Alert) -> None:
    assert "A prompt to talk, not a diagnosis." in page_of(cast, "owner", alert)


def test_it_leads_to_the_series_that_it_is_about(cast: Cast, alert: Alert) -> None:
    assert f"/cases/{cast.case.public_id}/series/LF/toe_angle/" in page_of(cast, "owner", alert)


@pytest.mark.parametrize(
    ("rule", "subject", "leads_to"),
    [
        ("visit.overdue", "farrier", "/visits/plan/"),
        ("flag.unanswered", "abcdefgh", "/flags/abcdefgh/"),
        ("foot.drift", "RH", "/series/RH/heel_angle/"),
    ],
)
def test_other_alerts_lead_to_what_they_are_about(
    cast: Cast, now: datetime, rule: str, subject: str, leads_to: str
) -> None:
    evidence = {"lead": "heel_angle"}
    alert = make_alert(cast, now, rule=rule, subject=subject, evidence=evidence)
    assert leads_to in page_of(cast, "owner", alert)


def test_todays_numbers_stand_beside_those_of_the_first_day(cast: Cast, alert: Alert) -> None:
    finding = Finding(
        rule=alert.rule,
        subject=alert.subject,
        title=alert.title,
        sentence="Now 47.0°.",
        evidence={**EVIDENCE, "past_edge": 3.0},
    )
    alert_keep_up(alert, finding, datetime(2026, 11, 20, 9, tzinfo=UTC))
    page = page_of(cast, "owner", alert)
    assert "Now 47.0°." in page
    assert "Now, on 20 Nov 2026" in page
    assert "<td>3°</td>" in page
    assert "When it was first raised, on 2 Nov 2026" in page
    assert "<td>1.5°</td>" in page


def test_an_alert_that_is_over_says_since_when_and_why(
    cast: Cast, alert: Alert, now: datetime
) -> None:
    alert.cleared_at, alert.cleared_why = now, "the numbers no longer show it"
    alert.save()
    page = page_of(cast, "owner", alert)
    assert "No longer there since 2 Nov 2026: the numbers no longer show it." in page
    assert "I have seen this" not in page


def test_everyone_marks_it_as_seen_once(cast: Cast, alert: Alert) -> None:
    for _ in range(2):
        assert post(cast, "carer", alert, act="seen").status_code == 302
    assert AlertResponse.objects.count() == 1
    assert verbs(cast.case).count("alert.seen") == 1
    page = page_of(cast, "owner", alert)
    assert "Seen by Cara Carer (carer)" in page
    assert "I have seen this" in page
    assert "I have seen this" not in page_of(cast, "carer", alert)


def test_an_answer_is_read_by_all_and_told(cast: Cast, alert: Alert) -> None:
    response = post(cast, "farrier", alert, act="answer", words="I will lower the toe.")
    assert response.status_code == 302
    page = page_of(cast, "owner", alert)
    assert "I will lower the toe." in page
    assert "Finn Farrier" in page
    assert "alert.answered" in verbs(cast.case)
    assert "Ola Owner" in told(cast.case, "alert.answered")


@pytest.mark.parametrize(
    ("words", "said"), [("", "Please fill this in."), ("x" * 5001, "5,001 characters")]
)
def test_an_answer_that_cannot_be_saved_comes_back(
    cast: Cast, alert: Alert, words: str, said: str
) -> None:
    response = post(cast, "vet", alert, act="answer", words=words)
    page = text_of(response)
    assert response.status_code == 422
    assert said in page
    assert words in page
    assert not AlertResponse.objects.exists()


def test_an_answer_sent_twice_is_one_and_another_comes_back(cast: Cast, alert: Alert) -> None:
    for _ in range(2):
        post(cast, "vet", alert, words="Once.", client_key="k")
    response = post(cast, "vet", alert, words="Other words", client_key="k")
    assert AlertResponse.objects.count() == 1
    assert response.status_code == 409
    assert "Other words" in text_of(response)


@pytest.mark.parametrize(
    ("until", "said"),
    [
        ("2026-11-01", "This day has passed."),
        ("2027-11-02", "This is more than half a year ahead."),
        ("31/31/2026", "This is not a day we can read."),
    ],
)
def test_a_day_that_an_answer_cannot_name_comes_back_beside_its_words(
    cast: Cast, alert: Alert, until: str, said: str
) -> None:
    response = post(cast, "vet", alert, words="I know.", until_on=until)
    page = text_of(response)
    assert response.status_code == 422
    assert said in page
    assert ("I know." in page, until in page) == (True, True)
    assert not AlertResponse.objects.exists()


def test_the_form_offers_the_next_visit_and_keeps_the_day_it_is_given(
    cast: Cast, alert: Alert, now: datetime
) -> None:
    visit_plan(access=cast.access(cast.owner), on=date(2026, 11, 20), now=now)
    page = page_of(cast, "vet", alert)
    assert 'value="2026-11-20"' in page
    assert "To the end of that day it is quiet for the vet." in page
    post(cast, "vet", alert, words="I know.", until_on="2026-11-12")
    assert AlertResponse.objects.get().until_on == date(2026, 11, 12)
    page = page_of(cast, "vet", alert)
    assert "Quiet for the vet until the end of 12 Nov 2026" in page
    assert "Quiet for" not in page_of(cast, "owner", alert).partition("<form")[0]


def test_an_answer_sent_again_with_another_day_is_another_answer(cast: Cast, alert: Alert) -> None:
    post(cast, "vet", alert, words="Once.", client_key="k", until_on="2026-11-12")
    response = post(cast, "vet", alert, words="Once.", client_key="k", until_on="2026-11-13")
    assert response.status_code == 409
    assert 'value="2026-11-13"' in text_of(response)
    assert AlertResponse.objects.count() == 1


def test_it_says_since_when_it_is_so_and_when_that_became_certain(
    cast: Cast, now: datetime
) -> None:
    since = datetime(2026, 4, 28, 12, tzinfo=UTC)
    alert = make_alert(cast, now, rule="foot.drift", subject="LF", true_since=since)
    page = page_of(cast, "owner", alert)
    assert (
        "It became certain on 2 Nov 2026. Looking back, it has been so since about 28 Apr 2026."
        in page
    )
    assert "true since" not in page


def test_the_doors(cast: Cast, alert: Alert, now: datetime) -> None:
    assert post(cast, "carer", alert, words="x").status_code == 403
    assert post(cast, "stranger", alert, act="seen").status_code == 404
    assert post(cast, "removed", alert, act="seen").status_code == 404
    other = Door(cast.other_vet, cast.other_case)
    assert other.get("alert", alert.public_id).status_code == 404
    door = Door(cast.owner, cast.case)
    assert door.get("alert", "nosuchalert").status_code == 404
    assert door.client.put(door.address("alert", alert.public_id)).status_code == 405
    shut(cast.case, now)
    assert post(cast, "owner", alert, act="seen").status_code == 403
    assert "<textarea" not in page_of(cast, "owner", alert)


def test_an_alert_of_one_case_is_not_on_the_other(cast: Cast, now: datetime) -> None:
    alert = make_alert(cast, now, case=cast.concern)
    assert Door(cast.owner, cast.case).get("alert", alert.public_id).status_code == 404
    assert Door(cast.owner, cast.concern).get("alert", alert.public_id).status_code == 200


def test_real_alerts_of_the_calendar_show_their_numbers(cast: Cast, now: datetime) -> None:
    from horses.rules.engine import evaluate
    from tests import build

    build.visit(cast.access(cast.farrier), now, date(2026, 8, 1))
    build.flag(cast.access(cast.owner), now - timedelta(days=3), "heat")
    evaluate(cast.horse, now=now)
    assert Alert.objects.count() == 2
    for alert in Alert.objects.all():
        response = Door(cast.owner, cast.case).get("alert", alert.public_id)
        assert response.status_code == 200
        assert "<table" in text_of(response)
