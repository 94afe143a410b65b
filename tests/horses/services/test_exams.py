"""A vet's examination."""

from datetime import datetime

import pytest

from horses.models import ExamFoot, Soundness
from horses.services.exams import FootFound, Grade, exam_record
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def test_feet_of_which_nothing_was_said_are_left_out(cast: Cast, now: datetime) -> None:
    exam_record(
        access=cast.access(cast.vet),
        examined_at=now,
        words="",
        grade=None,
        feet=[FootFound("LF", pulse=0), FootFound("RF"), FootFound("LH", testers="mild")],
        now=now,
    )
    assert list(ExamFoot.objects.values_list("foot", flat=True)) == ["LF", "LH"]
    assert not Soundness.objects.exists()


def test_the_grade_stays_on_its_scale_with_the_last_painkiller(cast: Cast, now: datetime) -> None:
    exam = exam_record(
        access=cast.access(cast.vet),
        examined_at=now,
        words="",
        feet=[],
        grade=Grade("ten", 3, "hard circle", "a painkiller", now.date()),
        now=now,
    )
    row = Soundness.objects.get()
    assert (row.exam, row.scale, row.grade) == (exam, "ten", 3)
    assert (row.seen_on, row.painkiller_on) == (now.date(), now.date())
