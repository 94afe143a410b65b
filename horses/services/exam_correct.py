"""An examination put right in place, or taken back: the earlier one is kept, struck through."""

from datetime import datetime

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.urls import reverse
from django.utils import timezone

from caseboard.lib.errors import Conflict
from horses.access import CaseAccess
from horses.domain.wording import day_words
from horses.models import Exam, Foot, Soundness
from horses.presenters.changed_words import change_lines
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.exams import FootFound, Grade, exam_write
from horses.services.visit_planning import horse_lock, vet_visit_follow

NO_OTHER = "{} wrote this examination down. Ask them to correct it."


def exam_correct(
    *,
    access: CaseAccess,
    exam_id: str,
    examined_at: datetime,
    feet: list[FootFound],
    grade: Grade | None,
    words: str,
    reason: str,
    client_key: str = "",
    now: datetime,
) -> Exam:
    """Writes the examination anew in the place of `exam_id`. Raises Conflict when that was corrected
    or taken back first."""
    with deed(access, "exam.correct", now=now, key=client_key) as act:
        found = [foot for foot in feet if not foot.is_empty]
        day = timezone.localtime(examined_at).date()
        payload = {
            "case": access.case.public_id,
            "corrects": exam_id,
            "on": day,
            "feet": found,
            "grade": grade,
            "words": words,
            "reason": reason,
        }
        if earlier := act.made_before(Exam, payload):
            return earlier
        old = _own_in_force(access, exam_id, words, reason)
        new, rows = exam_write(
            access, examined_at, found, grade, words, now, corrects=old, reason=reason
        )
        act.rows(rows)
        vet_visit_follow(access, old.recorded_at, day, now)
        changes = change_lines(told_of(old), told_of(new))
        act.line(
            "exam.corrected",
            new,
            before={"on": str(timezone.localtime(old.examined_at).date())},
            after={"on": str(day), "reason": reason, "changes": changes},
        )
        _tell(act, new, "exam.corrected", "corrected", reason)
        act.evaluate()
        return act.made(new)


def exam_void(*, access: CaseAccess, exam_id: str, reason: str, now: datetime) -> Exam:
    """Takes an examination back, as for one on the wrong horse: a later row says so. Sent twice with
    the same words it is once; raises Conflict when it was corrected or taken back otherwise."""
    with deed(access, "exam.correct", now=now) as act:
        if before := _voided_alike(access, exam_id, reason):
            return before
        old = _own_in_force(access, exam_id, "", reason)
        off = act.row(
            Exam.objects.create(
                case=old.case,
                horse=old.horse,
                examined_by=access.person,
                examined_at=old.examined_at,
                recorded_at=now,
                corrects=old,
                correction_reason=reason,
                is_void=True,
            )
        )
        vet_visit_follow(access, old.recorded_at, None, now)
        on = str(timezone.localtime(old.examined_at).date())
        act.line("exam.voided", old, after={"on": on, "reason": reason})
        _tell(act, old, "exam.voided", "took back", reason)
        act.evaluate()
        return off


def _voided_alike(access: CaseAccess, exam_id: str, reason: str) -> Exam | None:
    return Exam.objects.filter(
        corrects__public_id=exam_id,
        case=access.case,
        is_void=True,
        correction_reason=reason,
        examined_by=access.person,
    ).first()


def _own_in_force(access: CaseAccess, exam_id: str, words: str, reason: str) -> Exam:
    """The examination to correct, under the horse's lock."""
    if not reason.strip():
        raise DeedRefused("Say why: the line stays on the board.", field="reason")
    horse_lock(access.horse)
    exam = Exam.objects.filter(case=access.case, public_id=exam_id, is_void=False).first()
    if exam is None:
        raise Http404("no such examination")
    if exam.examined_by_id != access.person.pk:
        raise PermissionDenied(NO_OTHER.format(exam.examined_by))
    later = Exam.objects.filter(corrects=exam).select_related("examined_by").first()
    if later is not None:
        theirs = "taken back" if later.is_void else later.words
        raise Conflict(
            {"words": words, "reason": reason},
            {"words": theirs, "reason": later.correction_reason},
            who=str(later.examined_by),
            at=later.recorded_at,
        )
    return exam


def _tell(act: Deed, exam: Exam, verb: str, did: str, reason: str) -> None:
    access, day = act.access, day_words(timezone.localtime(exam.examined_at).date())
    subject = f"{access.horse.name}: {access.person} {did} the examination of {day}"
    path = reverse("exam", args=[access.case.public_id, exam.public_id])
    act.tell(verb, exam, subject, body=reason, path=path)


def told_of(exam: Exam) -> dict[str, str]:
    """Each part of an examination in words, by its name, for the comparison of two versions."""
    told = {"day": day_words(timezone.localtime(exam.examined_at).date())}
    for grade in exam.soundness.all():
        told["grade"] = _grade_told(grade)
    for foot in Foot.values:
        for found in exam.feet.all():
            if found.foot == foot:
                pulse = "" if found.pulse is None else f"pulse {found.pulse}"
                testers = f"testers {found.get_testers_display()}" if found.testers else ""
                told[foot] = ", ".join(filter(None, (pulse, testers, found.testers_where)))
    return {**told, "findings": " ".join(exam.words.split())}


def _grade_told(grade: Soundness) -> str:
    painkiller = f"last painkiller {grade.painkiller}" if grade.painkiller else ""
    given = day_words(grade.painkiller_on) if grade.painkiller_on else ""
    scale = f"{grade.grade} ({grade.get_scale_display()})"
    return ", ".join(filter(None, (scale, grade.surface, painkiller, given)))
