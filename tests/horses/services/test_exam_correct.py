"""An examination put right in place, or taken back: what is in force counts, the rest is kept."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.http import HttpResponse

from caseboard.case_reading import CaseReading
from caseboard.export.case_copy import case_copy
from horses.access import access_on
from horses.ledger.verify import broken_lines
from horses.models import Exam, Role, Visit
from horses.queries.board import exams_for, soundness_for
from horses.services.exams import FootFound, Grade, exam_record
from horses.services.visit_planning import visit_plan
from tests.access.fields import Offered
from tests.cast import Cast, join
from tests.horses.doors import Door, last_line, text_of, told, verbs

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
WHY = "It was grade 1."


def examined(cast: Cast, now: datetime, **more: Any) -> Exam:
    fields: dict[str, Any] = {
        "feet": [
            FootFound("LF", pulse=2, testers="clear", testers_where="toe"),
            FootFound("RF", pulse=0),
        ],
        "grade": Grade("aaep", 4, "hard", "Pheno", date(2026, 10, 30)),
        "words": "Marked at the walk.",
        "examined_at": now - timedelta(hours=3),
        **more,
    }
    return exam_record(access=cast.access(cast.vet), now=now, **fields)


def filled(cast: Cast, exam: Exam, **changed: Any) -> dict[str, Any]:
    door = Door(cast.vet, cast.case)
    page = door.get("exam_correct", exam.public_id)
    assert page.status_code == 200
    offered = Offered(page.content.decode(), door.address("exam_correct", exam.public_id))
    return {**offered.filled, "reason": WHY, **changed}


def correct(cast: Cast, exam: Exam, **changed: Any) -> HttpResponse:
    sent = filled(cast, exam, **changed)
    return Door(cast.vet, cast.case).post("exam_correct", exam.public_id, **sent)


def newest(cast: Cast) -> Exam:
    found = exams_for(cast.access(cast.vet)).first()
    assert found is not None
    return found


def test_the_page_comes_filled_in_and_sent_as_it_is_says_the_same(
    cast: Cast, now: datetime
) -> None:
    exam = examined(cast, now)
    assert correct(cast, exam).status_code == 302
    later = newest(cast)
    assert later.corrects == exam
    assert (later.words, later.examined_at) == (exam.words, exam.examined_at)
    grade = later.soundness.get()
    assert (grade.grade, grade.surface, grade.painkiller) == (4, "hard", "Pheno")
    assert grade.painkiller_on == date(2026, 10, 30)
    feet = [(f.foot, f.pulse, f.testers, f.testers_where) for f in later.feet.all()]
    assert feet == [("LF", 2, "clear", "toe"), ("RF", 0, "", "")]
    assert last_line(cast.case, "exam.corrected").after["changes"] == []  # type: ignore[index]


def test_only_the_grade_in_force_counts_anywhere(cast: Cast, now: datetime) -> None:
    exam = examined(cast, now)
    correct(cast, exam, aaep="1", words="Slight on the circle.")
    owner = cast.access(cast.owner)
    assert [g.grade for g in soundness_for(owner)] == [1]
    assert len(exams_for(owner)) == 1
    door = Door(cast.owner, cast.case)
    for name in ("board", "sheet", "show_check"):
        page = text_of(door.get(name))
        assert "obvious at the walk" not in page, name
    held = case_copy(CaseReading(owner, now)).parts
    assert [row["grade"] for row in held["soundness"]] == [1]
    assert [row["words"] for row in held["examinations"]] == ["Slight on the circle."]


def test_the_version_before_is_kept_struck_through_and_leads_to_what_stands(
    cast: Cast, now: datetime
) -> None:
    exam = examined(cast, now)
    correct(cast, exam, aaep="1")
    door = Door(cast.owner, cast.case)
    old, new = (text_of(door.get("exam", e.public_id)) for e in (exam, newest(cast)))
    assert "Corrected by Vera Vet" in old
    assert "struck" in old
    assert newest(cast).public_id in old
    assert exam.public_id in new
    assert Exam.objects.count() == 2


def test_history_says_what_changed_and_is_whole(cast: Cast, now: datetime) -> None:
    exam = examined(cast, now)
    correct(cast, exam, aaep="1", LF_pulse="1", on="2026-11-01")
    page = text_of(Door(cast.owner, cast.case).get("history"))
    assert "corrected the examination of 2 Nov 2026" in page
    assert "Left fore: pulse 2, testers clear, toe → pulse 1, testers clear, toe" in page
    assert "Day: 2 Nov 2026 → 1 Nov 2026" in page
    assert WHY in page
    assert list(broken_lines(cast.case)) == []
    assert "Ola Owner" in told(cast.case, "exam.corrected")


def test_one_on_the_wrong_horse_is_taken_back_and_written_down_for_the_right_one(
    cast: Cast, now: datetime
) -> None:
    exam = examined(cast, now)
    join(cast.other_case, cast.vet, Role.VET, now - timedelta(days=1))
    door = Door(cast.vet, cast.case)
    answer = door.post(
        "exam_void", exam.public_id, reason="It was Bramble.", other=cast.other_case.public_id
    )
    assert answer.status_code == 302
    form = door.client.get(answer["Location"])
    assert "Marked at the walk." in text_of(form)
    assert form.context["form"]["aaep"].value() == "4"
    assert list(soundness_for(cast.access(cast.owner))) == []
    assert not exams_for(cast.access(cast.owner)).exists()
    page = text_of(Door(cast.owner, cast.case).get("exam", exam.public_id))
    assert "Taken back by Vera Vet" in page
    assert "It was Bramble." in page
    assert list(broken_lines(cast.case)) == []
    assert verbs(cast.case)[-1] == "exam.voided"


def test_nobody_elses_examination_can_be_copied(cast: Cast, now: datetime) -> None:
    exam = examined(cast, now)
    other = Door(cast.other_vet, cast.other_case)
    page = other.client.get(f"{other.address('exam_new')}?from={exam.public_id}")
    assert page.status_code == 200
    assert "Marked at the walk." not in text_of(page)


def test_only_who_wrote_it_may_correct_it_or_take_it_back(cast: Cast, now: datetime) -> None:
    exam = examined(cast, now)
    join(cast.case, cast.other_vet, Role.VET, now - timedelta(days=1))
    assert access_on(cast.other_vet, cast.case) is not None
    for name in ("exam_correct", "exam_void"):
        for who in (cast.other_vet, cast.owner, cast.farrier):
            assert Door(who, cast.case).get(name, exam.public_id).status_code == 403
        assert Door(cast.other_farrier, cast.case).get(name, exam.public_id).status_code == 404


def test_the_same_correction_twice_is_one(cast: Cast, now: datetime) -> None:
    exam = examined(cast, now)
    sent = filled(cast, exam, client_key="k", aaep="1")
    door = Door(cast.vet, cast.case)
    for _ in range(2):
        assert door.post("exam_correct", exam.public_id, **sent).status_code == 302
    assert verbs(cast.case).count("exam.corrected") == 1


def test_two_corrections_of_one_version_are_a_conflict_that_keeps_what_was_typed(
    cast: Cast, now: datetime
) -> None:
    exam = examined(cast, now)
    late = filled(cast, exam, words="My second thought.")
    correct(cast, exam, words="My first thought.")
    answer = Door(cast.vet, cast.case).post("exam_correct", exam.public_id, **late)
    assert answer.status_code == 409
    page = text_of(answer)
    assert "My second thought." in page
    assert "My first thought." in page
    assert f"/exams/{newest(cast).public_id}/correct/" in page


def test_an_error_loses_nothing_typed(cast: Cast, now: datetime) -> None:
    exam = examined(cast, now)
    answer = correct(cast, exam, reason="", words="Other words.")
    assert answer.status_code == 422
    assert "Other words." in text_of(answer)
    assert "Say why" in text_of(answer)
    assert Exam.objects.count() == 1


@pytest.mark.parametrize(("name", "status"), [("exam_correct", "kept"), ("exam_void", "planned")])
def test_the_vet_visit_that_it_had_kept_goes_along(
    name: str, status: str, cast: Cast, now: datetime
) -> None:
    visit_plan(access=cast.access(cast.vet), on=now.date(), kind="vet", now=now)
    exam = examined(cast, now)
    if name == "exam_correct":
        correct(cast, exam, on="2026-11-01")
    else:
        Door(cast.vet, cast.case).post("exam_void", exam.public_id, reason="wrong horse")
    visit = Visit.objects.get(kind="vet")
    kept_on = date(2026, 11, 1) if status == "kept" else None
    assert (visit.status, visit.kept_on) == (status, kept_on)


def test_an_examination_of_today_sent_again_later_is_the_same_one(
    cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    door = Door(cast.vet, cast.case)
    sent = {"on": "2026-11-02", "words": "Sore at the toe.", "client_key": "k"}
    door.post("exam_new", **sent)
    monkeypatch.setattr("caseboard.lib.clock.now", lambda: now + timedelta(minutes=3))
    assert door.post("exam_new", **sent).status_code == 302
    assert Exam.objects.count() == 1
