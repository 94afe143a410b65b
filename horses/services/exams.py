"""A vet's examination: pulse and testers a foot, and the lameness grade of the day."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from horses.access import TEAM_AUDIENCE, CaseAccess, require
from horses.ledger.append import history_append
from horses.models import Exam, ExamFoot, Soundness
from horses.models.base import AppendOnly
from horses.notices.create import notify
from horses.rules.engine import evaluation_enqueue
from horses.services.idempotency import idempotent
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


@transaction.atomic
def exam_record(
    *,
    access: CaseAccess,
    examined_at: datetime,
    feet: list[FootFound],
    grade: Grade | None,
    words: str,
    client_key: str = "",
    now: datetime,
) -> Exam:
    require(access, "exam.record")
    found = [foot for foot in feet if not foot.is_empty]
    payload = {
        "case": access.case.public_id,
        "on": timezone.localtime(examined_at).date(),
        "feet": found,
        "grade": grade,
        "words": words,
    }

    def make() -> Exam:
        exam, rows = exam_write(access, examined_at, found, grade, words, now)
        vet_visit_keep(access, timezone.localtime(examined_at).date(), now)
        history_append(
            case=access.case,
            actor=access.person,
            role=access.role,
            verb="exam.recorded",
            subject=exam.public_id,
            now=now,
            rows=rows,
            after=exam_told(grade, found, words),
        )
        notify(
            event=f"exam.recorded:{exam.public_id}",
            case=access.case,
            verb="exam.recorded",
            subject=f"{access.horse.name}: {access.person} recorded an examination",
            body=words,
            path=reverse("exam", args=[access.case.public_id, exam.public_id]),
            audience=TEAM_AUDIENCE,
            actor=access.person,
            now=now,
        )
        evaluation_enqueue(access.horse, now=now)
        return exam

    return idempotent(access.person, client_key, payload, now=now, make=make, model=Exam)


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
