"""A vet's examination: pulse and testers a foot, and the lameness grade of the day."""

from dataclasses import dataclass
from datetime import date, datetime

from django.urls import reverse
from django.utils import timezone

from horses.access import CaseAccess
from horses.models import Exam, ExamFoot, Soundness
from horses.models.base import AppendOnly
from horses.services.deed import deed
from horses.services.pictures import NO_PICTURES, Taken, pictures_attach
from horses.services.visit_planning import vet_visit_keep


@dataclass(frozen=True)
class FootFound:
    foot: str
    pulse: int | None = None
    testers: str = ""
    testers_where: str = ""

    @property
    def is_empty(self) -> bool:
        return self.pulse is None and not self.testers and not self.testers_where


@dataclass(frozen=True)
class Grade:
    scale: str
    grade: int
    surface: str = ""
    painkiller: str = ""
    painkiller_on: date | None = None


def exam_record(
    *,
    access: CaseAccess,
    examined_at: datetime,
    feet: list[FootFound],
    grade: Grade | None,
    words: str,
    taken: Taken = NO_PICTURES,
    client_key: str = "",
    now: datetime,
) -> Exam:
    with deed(access, "exam.record", now=now, key=client_key) as act:
        found = [foot for foot in feet if not foot.is_empty]
        day = timezone.localtime(examined_at).date()
        payload = {
            "case": access.case.public_id,
            "on": day,
            "feet": found,
            "grade": grade,
            "words": words,
            **taken.payload,
        }
        if earlier := act.made_before(Exam, payload):
            return earlier
        exam, rows = exam_write(access, examined_at, found, grade, words, now)
        act.rows(rows)
        vet_visit_keep(access, day, now)
        act.line("exam.recorded", exam, after=exam_told(grade, found, words))
        pictures_attach(act, taken, exam)
        subject = f"{access.horse.name}: {access.person} recorded an examination"
        path = reverse("exam", args=[access.case.public_id, exam.public_id])
        act.tell("exam.recorded", exam, subject, body=words, path=path)
        act.evaluate()
        return act.made(exam)


def exam_write(
    access: CaseAccess,
    examined_at: datetime,
    found: list[FootFound],
    grade: Grade | None,
    words: str,
    now: datetime,
    *,
    corrects: Exam | None = None,
    reason: str = "",
) -> tuple[Exam, list[AppendOnly]]:
    """The rows of one examination; in the place of another one where it corrects one. Runs inside
    the caller's transaction; the caller has asked for the right and writes the line of history."""
    exam = Exam.objects.create(
        case=access.case,
        horse=access.horse,
        examined_by=access.person,
        examined_at=examined_at,
        words=words,
        recorded_at=now,
        corrects=corrects,
        correction_reason=reason,
    )
    rows: list[AppendOnly] = [exam]
    rows += ExamFoot.objects.bulk_create(
        ExamFoot(
            exam=exam,
            foot=f.foot,
            pulse=f.pulse,
            testers=f.testers,
            testers_where=f.testers_where,
        )
        for f in found
    )
    if grade is not None:
        grading = Soundness.objects.create(
            horse=access.horse,
            case=access.case,
            exam=exam,
            seen_by=access.person,
            seen_role=access.role,
            seen_on=timezone.localtime(examined_at).date(),
            scale=grade.scale,
            grade=grade.grade,
            surface=grade.surface,
            painkiller=grade.painkiller,
            painkiller_on=grade.painkiller_on,
            recorded_at=now,
        )
        rows.append(grading)
    return exam, rows


def exam_told(grade: Grade | None, found: list[FootFound], words: str) -> dict[str, object]:
    """What the history says of an examination."""
    return {
        "grade": f"{grade.scale} {grade.grade}" if grade else "",
        "feet": [f.foot for f in found],
        "words": words,
    }
