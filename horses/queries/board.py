"""What people read. Every query starts from the person's access to a case."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from functools import lru_cache

from django.db.models import (
    Count,
    Exists,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    prefetch_related_objects,
)
from django.utils import timezone

from caseboard.lib.prepared import Prepared
from horses.access import TEAM_AUDIENCE, CaseAccess, cases_for, readable_as, readable_by
from horses.models import (
    Alert,
    AlertResponse,
    Case,
    Exam,
    Flag,
    FlagAnswer,
    HistoryLine,
    Horse,
    HorseWeight,
    Invitation,
    Membership,
    Note,
    Person,
    Role,
    Soundness,
    Trim,
    Visit,
)
from horses.models.history import LOOKS
from horses.models.visit import VisitQuerySet


def team_for(access: CaseAccess) -> list[Membership]:
    """The people on the case now, owner first."""
    members = Membership.objects.filter(case=access.case, left_at__isnull=True)
    return team_of(members.select_related("person", "invited_by", "via__yard"), access.case)


def members_of_horse(access: CaseAccess) -> list[Membership]:
    """Everybody who is or was on any case of the horse, with the person and the case: one reading
    for a page that shows the team, the plan and the other boards."""
    return _MEMBERS.rows(horse=access.horse.pk)


def _members(horse: int) -> QuerySet[Membership]:
    members = Membership.objects.filter(case__horse=horse)
    return members.select_related("person", "case", "invited_by").order_by("pk")


_MEMBERS = Prepared(_members)


def team_of(members: Iterable[Membership], case: Case) -> list[Membership]:
    """Those of them who are on the case now, owner first."""
    order = {role: index for index, role in enumerate(Role.values)}
    now_on = [m for m in members if m.case_id == case.pk and m.left_at is None]
    return sorted(now_on, key=lambda m: (order[m.role], m.stand_in, m.pk))


def other_cases_of(members: Iterable[Membership], access: CaseAccess) -> list[Case]:
    """The horse's other cases that this person is on too, newest first."""
    mine = [
        m.case
        for m in members
        if m.person_id == access.person.pk and m.left_at is None and m.case_id != access.case.pk
    ]
    return sorted(mine, key=lambda case: (case.opened_at, case.pk), reverse=True)


def open_cases_of(person: Person) -> list[Case]:
    """The open cases somebody is on, by the horse's name."""
    return list(cases_for(person).filter(closed_at=None).order_by("horse__name", "pk"))


def invitations_for(access: CaseAccess) -> QuerySet[Invitation]:
    return Invitation.objects.filter(case=access.case, accepted_at=None, revoked_at=None)


def flags_for(access: CaseAccess) -> QuerySet[Flag]:
    """All flags of the case, newest first, with their photos and answers.

    The words of an answer with a narrower audience stay in its note, which has its own readers.
    """
    return _flags(access).prefetch_related("pictures")


def flags_with_answers(access: CaseAccess) -> list[Flag]:
    """The same without the photos, but with how many there are."""
    flags = _COUNTED_FLAGS.rows(case=access.case.pk)
    prefetch_related_objects(flags, Prefetch("answers", queryset=_answers()))
    return flags


def _flags(access: CaseAccess) -> QuerySet[Flag]:
    flags = Flag.objects.filter(case=access.case).select_related("raised_by")
    return flags.prefetch_related(Prefetch("answers", queryset=_answers()))


def _answers() -> QuerySet[FlagAnswer]:
    return FlagAnswer.objects.select_related("answered_by", "note").order_by("pk")


def _counted_flags(case: int) -> QuerySet[Flag]:
    flags = Flag.objects.filter(case=case).select_related("raised_by")
    # Counting leaves the model's own order off.
    return flags.annotate(photo_count=Count("pictures")).order_by("-raised_at", "-id")


_COUNTED_FLAGS = Prepared(_counted_flags)


def flag_is_open(flag: Flag) -> bool:
    """No answer has closed it, or what had closed it was taken back."""
    is_open = True
    for answer in sorted(flag.answers.all(), key=lambda answer: answer.pk):
        is_open = not answer.closes and (is_open or answer.kind == FlagAnswer.Kind.REOPENED)
    return is_open


def open_flags_for(access: CaseAccess) -> list[Flag]:
    """The flags nobody has closed, most urgent first."""
    return most_urgent_first(filter(flag_is_open, flags_for(access)))


def most_urgent_first(flags: Iterable[Flag]) -> list[Flag]:
    rank = {"now": 0, "today": 1, "next_visit": 2}
    return sorted(flags, key=lambda f: (rank[f.urgency], -f.raised_at.timestamp()))


# An answer stands on the board this long after it closed a flag. House default.
ANSWER_STANDS = timedelta(days=3)


def answered_lately(flags: Iterable[Flag], *, now: datetime) -> list[Flag]:
    """Those of them that an answer of the last days closed, the oldest first."""
    since = now - ANSWER_STANDS
    late = [f for f in flags if any(a.closes and a.answered_at > since for a in f.answers.all())]
    return sorted(late, key=lambda flag: flag.pk)


def notes_for(access: CaseAccess) -> QuerySet[Note]:
    """The notes this person's role may read, newest first."""
    return (
        Note.objects.filter(readable_by(access), case=access.case)
        .select_related("author", "flag", "corrects")
        .prefetch_related("corrections")
    )


def notes_newest(access: CaseAccess, count: int) -> list[Note]:
    """The newest notes for the board; `is_corrected`: a later note stands beside it."""
    return _notes(access.role, access.own_role, count).rows(case=access.case.pk)


@lru_cache(maxsize=32)  # the roles, those looked at as another
def _notes(role: str, own_role: str | None, count: int) -> Prepared[Note]:
    def build(case: int) -> QuerySet[Note]:
        readable = readable_as(role, own_role)
        later = Note.objects.filter(readable, corrects=OuterRef("pk"))
        notes = Note.objects.filter(readable, case=case).annotate(is_corrected=Exists(later))
        notes = notes.annotate(
            picture_count=Count("pictures", filter=Q(pictures__redacted_at=None))
        )
        notes = notes.select_related("author", "flag", "corrects")
        return notes.order_by("-written_at", "-id")[:count]

    return Prepared(build)


def history_for(access: CaseAccess) -> QuerySet[HistoryLine]:
    return HistoryLine.objects.filter(readable_by(access), case=access.case)


def without_looks(lines: QuerySet[HistoryLine]) -> QuerySet[HistoryLine]:
    """What happened but for the daily looks, which would hide it by their number."""
    return lines.exclude(verb__startswith=LOOKS)


def last_change(access: CaseAccess, subject: str) -> HistoryLine | None:
    """The newest line about one thing that the whole team reads.

    What hangs on the horse may have been changed on another of its boards: those the person stands
    on count as well.
    """
    cases = cases_for(access.person).filter(horse=access.horse)
    lines = HistoryLine.objects.filter(case__in=cases, subject=subject, audience=TEAM_AUDIENCE)
    return lines.order_by("-at", "-pk").first()


def exams_for(access: CaseAccess) -> QuerySet[Exam]:
    return (
        Exam.objects.in_force()
        .filter(case=access.case)
        .select_related("examined_by")
        .prefetch_related("feet", "soundness")
    )


def soundness_for(access: CaseAccess) -> QuerySet[Soundness]:
    return Soundness.objects.in_force().filter(horse=access.horse).select_related("seen_by")


def newest_grade(access: CaseAccess) -> Soundness | None:
    return next(iter(_GRADE.rows(horse=access.horse.pk)), None)


def newest_exam(access: CaseAccess) -> Exam | None:
    """Only when and by whom."""
    return next(iter(_EXAM.rows(case=access.case.pk)), None)


def _grade(horse: int) -> QuerySet[Soundness]:
    return Soundness.objects.in_force().filter(horse=horse).select_related("seen_by")[:1]


def _exam(case: int) -> QuerySet[Exam]:
    return Exam.objects.in_force().filter(case=case).select_related("examined_by")[:1]


_GRADE, _EXAM = Prepared(_grade), Prepared(_exam)


def weights_for(access: CaseAccess) -> QuerySet[HorseWeight]:
    return HorseWeight.objects.filter(horse=access.horse)


def visits_for(access: CaseAccess) -> VisitQuerySet:
    return (
        Visit.objects.filter(horse=access.horse)
        .select_related("person", "planned_for", "corrected_by")
        .prefetch_related("work")
    )


@lru_cache(maxsize=4)
def _visits(most: int) -> Prepared[Visit]:
    def build(horse: int) -> VisitQuerySet:
        rows = Visit.objects.filter(horse=horse).on_the_board()
        return rows.select_related("person", "planned_for", "corrected_by")[:most]

    return Prepared(build)


def next_visit(horse: Horse, kind: str = Visit.Kind.FARRIER) -> Visit | None:
    return (
        Visit.objects.planned()
        .filter(horse=horse, kind=kind)
        .select_related("planned_for")
        .order_by("planned_on")
        .first()
    )


def visits_ahead_and_behind(access: CaseAccess, kept: int) -> tuple[list[Visit], list[Visit]]:
    """The planned visits, the next one first, and the last ones kept, in one reading; one
    that was taken back stands among them, struck through."""
    rows = _visits(kept + len(Visit.Kind)).rows(
        horse=access.horse.pk
    )  # one planned visit of a kind
    prefetch_related_objects(rows, "work")
    ahead = [visit for visit in rows if visit.means.ahead]
    ahead.sort(key=lambda visit: visit.planned_on or date.max)
    return ahead, [visit for visit in rows if not visit.means.ahead][:kept]


def last_trimmed_on(horse: Horse) -> date | None:
    trim = Trim.objects.in_force().filter(horse=horse).order_by("-trimmed_on").first()
    return trim.trimmed_on if trim else None


def short_day(moment: datetime) -> str:
    """ "3 Nov 2026", the day where the installation is."""
    return f"{timezone.localtime(moment):%-d %b %Y}"


def alerts_for(access: CaseAccess) -> list[Alert]:
    """The open alerts and remarks of the horse that belong on this board, alerts first."""
    words = AlertResponse.objects.filter(case=access.case).select_related("person").order_by("pk")
    rows = (
        Alert.objects.filter(Q(case=access.case) | Q(case=None), horse=access.horse)
        .filter(cleared_at=None)
        .prefetch_related(Prefetch("words", queryset=words))
    )
    return sorted(rows, key=lambda a: (a.weight != Alert.Weight.ALERT, -a.raised_at.timestamp()))
