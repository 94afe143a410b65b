"""Lameness grades that must not wait; no grade is ever converted to another scale."""

from datetime import datetime, timedelta

import pytest

from horses.models import Exam, Soundness
from horses.rules.engine import Finding
from horses.rules.lameness import lameness
from horses.services.exam_correct import exam_correct, exam_void
from horses.services.exams import Grade, exam_record
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def graded(cast: Cast, now: datetime, scale: str, grade: int, days_ago: int = 0) -> None:
    at = now - timedelta(days=days_ago)
    exam_record(
        access=cast.access(cast.vet),
        examined_at=at,
        feet=[],
        words="",
        grade=Grade(scale, grade, "hard circle"),
        now=at,
    )


def found(cast: Cast, now: datetime) -> list[tuple[str, str]]:
    return [(f.rule, f.subject) for f in lameness(cast.horse, now)]


def only(cast: Cast, now: datetime) -> Finding:
    [finding] = lameness(cast.horse, now)
    return finding


@pytest.mark.parametrize(
    ("scale", "grade", "rule"),
    [
        ("aaep", 3, None),
        ("aaep", 4, "lameness.severe"),
        ("aaep", 5, "lameness.severe"),
        ("ten", 5, None),
        ("ten", 6, None),
        ("ten", 7, "lameness.severe"),
    ],
)
def test_a_high_grade_is_a_danger_at_first_sight(
    scale: str, grade: int, rule: str | None, cast: Cast, now: datetime
) -> None:
    graded(cast, now, scale, grade)
    assert found(cast, now) == ([(rule, scale)] if rule else [])
    for finding in lameness(cast.horse, now):
        assert (finding.weight, finding.danger, finding.severity) == ("alert", True, grade)


def test_a_rise_of_two_grades_on_one_scale_is_told_of(cast: Cast, now: datetime) -> None:
    graded(cast, now, "aaep", 1, days_ago=40)
    graded(cast, now, "aaep", 3)
    finding = only(cast, now)
    assert (finding.rule, finding.danger) == ("lameness.rise", True)
    assert "Graded 3 (AAEP, 0 to 5) on 2 Nov 2026, hard circle." in finding.sentence
    assert "It was 1 on 23 Sep 2026." in finding.sentence


def test_a_rise_one_grade_at_a_time_adds_up(cast: Cast, now: datetime) -> None:
    for days_ago, grade in ((90, 0), (45, 1), (0, 2)):
        graded(cast, now, "aaep", grade, days_ago)
    assert found(cast, now) == [("lameness.rise", "aaep")]


def test_one_grade_more_is_no_rise(cast: Cast, now: datetime) -> None:
    graded(cast, now, "aaep", 2, days_ago=40)
    graded(cast, now, "aaep", 3)
    assert found(cast, now) == []


def test_no_grade_is_converted_to_the_other_scale(cast: Cast, now: datetime) -> None:
    graded(cast, now, "aaep", 1, days_ago=40)
    graded(cast, now, "ten", 5)
    assert found(cast, now) == []
    graded(cast, now, "aaep", 4, days_ago=20)
    assert found(cast, now) == [("lameness.severe", "aaep")]


def test_a_later_grade_on_its_scale_ends_it(cast: Cast, now: datetime) -> None:
    graded(cast, now, "aaep", 4, days_ago=20)
    graded(cast, now, "aaep", 3)
    assert found(cast, now) == []


def test_nought_ends_it_whatever_the_scale(cast: Cast, now: datetime) -> None:
    graded(cast, now, "aaep", 4, days_ago=20)
    graded(cast, now, "ten", 0)
    assert found(cast, now) == []


def test_of_one_day_the_worst_grade_counts(cast: Cast, now: datetime) -> None:
    graded(cast, now, "aaep", 4)
    graded(cast, now, "aaep", 1)
    assert Soundness.objects.count() == 2
    assert found(cast, now) == [("lameness.severe", "aaep")]


def test_an_old_grade_says_how_old_it_is(cast: Cast, now: datetime) -> None:
    graded(cast, now, "ten", 8, days_ago=70)
    assert "10 weeks ago" in only(cast, now).sentence


def test_a_grade_taken_back_counts_no_more(cast: Cast, now: datetime) -> None:
    graded(cast, now, "aaep", 4)
    vet, exam = cast.access(cast.vet), Exam.objects.get()
    exam_void(access=vet, exam_id=exam.public_id, reason="The wrong horse.", now=now)
    assert found(cast, now) == []


def test_a_corrected_grade_counts_in_place_of_the_one_before(cast: Cast, now: datetime) -> None:
    graded(cast, now, "aaep", 4)
    exam_correct(
        access=cast.access(cast.vet),
        exam_id=Exam.objects.get().public_id,
        examined_at=now,
        feet=[],
        grade=Grade("aaep", 1, ""),
        words="",
        reason="It was grade 1.",
        now=now,
    )
    assert found(cast, now) == []
