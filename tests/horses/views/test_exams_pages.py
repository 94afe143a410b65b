"""A vet's examination: graded on one scale, foot by foot, read by the whole team."""

from typing import Any

import pytest
from django.http import HttpResponse

from horses.models import Exam, ExamFoot, Soundness
from tests.cast import Cast
from tests.horses.doors import Door, shut, text_of, told, verbs

pytestmark = pytest.mark.usefixtures("clock_stands")


def record(cast: Cast, who: str = "vet", **fields: Any) -> HttpResponse:
    sent: dict[str, Any] = {"on": "2026-11-01", "words": "Sore at the toe.", **fields}
    return Door(getattr(cast, who), cast.case).post("exam_new", **sent)


def test_an_examination_is_written_down_foot_by_foot(cast: Cast) -> None:
    record(
        cast,
        aaep="3",
        surface="Hard, straight",
        painkiller="Pheno",
        painkiller_on="2026-10-30",
        LF_pulse="2",
        LF_testers="clear",
        LF_where="toe",
        RF_pulse="0",
    )
    exam = Exam.objects.get()
    assert exam.words == "Sore at the toe."
    assert str(exam.examined_at.date()) == "2026-11-01"
    found = {f.foot: (f.pulse, f.testers, f.testers_where) for f in ExamFoot.objects.all()}
    assert found == {"LF": (2, "clear", "toe"), "RF": (0, "", "")}
    grade = Soundness.objects.get()
    assert (grade.scale, grade.grade, grade.surface) == ("aaep", 3, "Hard, straight")
    assert (grade.painkiller, str(grade.painkiller_on)) == ("Pheno", "2026-10-30")


def test_it_is_in_the_history_and_the_others_are_told(cast: Cast) -> None:
    record(cast)
    assert "exam.recorded" in verbs(cast.case)
    assert "Ola Owner" in told(cast.case, "exam.recorded")
    assert "Vera Vet" not in told(cast.case, "exam.recorded")


def test_grade_nought_is_a_grade(cast: Cast) -> None:
    record(cast, aaep="0")
    assert Soundness.objects.get().grade == 0


def test_the_other_scale_is_kept_as_it_is(cast: Cast) -> None:
    record(cast, ten="7")
    grade = Soundness.objects.get()
    assert (grade.scale, grade.grade) == ("ten", 7)


def test_without_a_grade_no_grade_is_made_up(cast: Cast) -> None:
    record(cast)
    assert not Soundness.objects.exists()


def test_an_examination_of_today_has_its_time(cast: Cast, now: object) -> None:
    record(cast, on="2026-11-02")
    assert Exam.objects.get().examined_at == now


def test_each_grade_has_its_short_meaning(cast: Cast) -> None:
    page = text_of(Door(cast.vet, cast.case).get("exam_new"))
    for words in ("none seen", "constant at the trot", "obvious at the walk"):
        assert words in page


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"aaep": "2", "ten": "4"}, "never converted"),
        ({"aaep": "6"}, "not a grade of this scale"),
        ({"ten": "11"}, "not a grade of this scale"),
        ({"aaep": "NaN"}, "not a grade of this scale"),
        ({"on": ""}, "the day"),
        ({"on": "2026-11-03"}, "still to come"),
        ({"on": "0001-01-01"}, "very long ago"),
        ({"on": "9999-12-31"}, "still to come"),
        ({"painkiller_on": "2026-11-03", "painkiller": "x", "aaep": "1"}, "still to come"),
        ({"painkiller_on": "2026-10-30", "aaep": "1"}, "which painkiller"),
        ({"painkiller": "Pheno"}, "Give the grade"),
        ({"surface": "Hard"}, "Give the grade"),
        ({"LF_pulse": "4"}, "from 0 to 3"),
        ({"RH_testers": "ouch"}, "reactions listed"),
        ({"RH_where": "heel"}, "how strongly"),
        ({"LF_where": "x" * 81, "LF_testers": "mild"}, "81 characters"),
        ({"words": ""}, "Nothing is filled in yet"),
    ],
)
def test_what_cannot_be_read_comes_back_with_all_that_was_typed(
    cast: Cast, fields: dict[str, str], words: str
) -> None:
    response = record(cast, **{"words": "Kept words", **fields})
    page = text_of(response)
    assert response.status_code == 422
    assert words in page
    assert fields.get("words", "Kept words") in page
    assert not Exam.objects.exists()


def test_what_was_chosen_for_a_foot_is_still_chosen(cast: Cast) -> None:
    page = text_of(record(cast, on="", LH_pulse="3", LH_testers="mild", LH_where="inside heel"))
    assert '<option value="3" selected>3, bounding</option>' in page
    assert '<option value="mild" selected>mild</option>' in page
    assert 'value="inside heel"' in page


def test_the_same_form_sent_twice_is_one_examination(cast: Cast) -> None:
    for _ in range(2):
        record(cast, client_key="k")
    assert Exam.objects.count() == 1


def test_the_same_key_with_other_words_comes_back_with_them(cast: Cast) -> None:
    record(cast, client_key="k")
    response = record(cast, client_key="k", words="Other words")
    assert response.status_code == 409
    assert "Other words" in text_of(response)


def test_only_the_vet_records_one(cast: Cast) -> None:
    for who in (cast.owner, cast.farrier, cast.carer):
        assert Door(who, cast.case).get("exam_new").status_code == 403
        assert Door(who, cast.case).post("exam_new", words="x").status_code == 403
    assert Door(cast.stranger, cast.case).get("exam_new").status_code == 404
    assert Door(cast.other_vet, cast.case).post("exam_new", words="x").status_code == 404
    door = Door(cast.vet, cast.case)
    assert door.client.put(door.address("exam_new")).status_code == 405


def test_a_closed_case_takes_none(cast: Cast, now: Any) -> None:
    shut(cast.case, now)
    assert Door(cast.vet, cast.case).get("exam_new").status_code == 403


# -- reading one


@pytest.fixture
def exam(cast: Cast) -> Exam:
    record(
        cast,
        aaep="4",
        painkiller="Pheno",
        painkiller_on="2026-10-30",
        RH_pulse="3",
        RH_testers="severe",
        RH_where="outside toe",
    )
    return Exam.objects.get()


def test_everyone_on_the_team_reads_it_in_words(cast: Cast, exam: Exam) -> None:
    for who in (cast.owner, cast.farrier, cast.vet, cast.carer):
        page = text_of(Door(who, cast.case).get("exam", exam.public_id))
        assert "obvious at the walk" in page
        assert "3, bounding" in page
        assert "strong withdrawal: outside toe" in page
        assert "Pheno, Fri 30 Oct 2026" in page


def test_a_painkiller_says_ask_your_vet_and_no_time(cast: Cast, exam: Exam) -> None:
    page = text_of(Door(cast.owner, cast.case).get("exam", exam.public_id))
    assert "ask your vet" in page
    assert "withdrawal time" not in page
    assert "hours" not in page


def test_the_page_of_an_examination_has_its_doors(cast: Cast, exam: Exam) -> None:
    assert Door(cast.stranger, cast.case).get("exam", exam.public_id).status_code == 404
    assert Door(cast.removed, cast.case).get("exam", exam.public_id).status_code == 404
    assert Door(cast.other_vet, cast.other_case).get("exam", exam.public_id).status_code == 404
    assert Door(cast.owner, cast.case).get("exam", "nosuchexam").status_code == 404
    assert Door(cast.owner, cast.case).post("exam", exam.public_id).status_code == 405
