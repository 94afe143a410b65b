"""What people read. Every query starts from the person's access to a case."""

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

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

from horses.access import TEAM_AUDIENCE, CaseAccess, cases_for, readable_by
from horses.domain.agreement import Agreed, in_force
from horses.domain.newcomers import new_vet_words
from horses.domain.wording import listed
from horses.models import (
    AGREEING_ROLES,
    Agreement,
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
    PlanItem,
    PlanItemVersion,
    Role,
    Soundness,
    Trim,
    Visit,
)
from horses.models.visit import VisitQuerySet
from horses.queries.plan_state import MARK_OF, said_words, version_state, words_beside


def team_for(access: CaseAccess) -> list[Membership]:
    """The people on the case now, owner first."""
    members = Membership.objects.filter(case=access.case, left_at__isnull=True)
    return team_of(members.select_related("person", "invited_by"), access.case)


def members_of_horse(access: CaseAccess) -> list[Membership]:
    """Everybody who is or was on any case of the horse, with the person and the case: one reading
    for a page that shows the team, the plan and the other boards."""
    members = Membership.objects.filter(case__horse=access.horse)
    return list(members.select_related("person", "case", "invited_by").order_by("pk"))


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
    return _flags(access).prefetch_related("photos")


def flags_with_answers(access: CaseAccess) -> QuerySet[Flag]:
    """The same without the photos, but with how many there are."""
    counted = _flags(access).annotate(photo_count=Count("photos"))
    return counted.order_by("-raised_at", "-id")  # counting leaves the model's own order off


def _flags(access: CaseAccess) -> QuerySet[Flag]:
    answers = FlagAnswer.objects.select_related("answered_by", "note").order_by("pk")
    flags = Flag.objects.filter(case=access.case).select_related("raised_by")
    return flags.prefetch_related(Prefetch("answers", queryset=answers))


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
    later = Note.objects.filter(readable_by(access), corrects=OuterRef("pk"))
    notes = notes_for(access).prefetch_related(None).annotate(is_corrected=Exists(later))
    return list(notes[:count])


def history_for(access: CaseAccess) -> QuerySet[HistoryLine]:
    return HistoryLine.objects.filter(readable_by(access), case=access.case)


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


def weights_for(access: CaseAccess) -> QuerySet[HorseWeight]:
    return HorseWeight.objects.filter(horse=access.horse)


def visits_for(access: CaseAccess) -> VisitQuerySet:
    return (
        Visit.objects.filter(horse=access.horse)
        .select_related("person", "planned_for", "corrected_by")
        .prefetch_related("work")
    )


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
    both = visits_for(access).on_the_board()
    rows = list(both[: kept + len(Visit.Kind)])  # one planned visit of a kind
    ahead = [visit for visit in rows if visit.means.ahead]
    ahead.sort(key=lambda visit: visit.planned_on or date.max)
    return ahead, [visit for visit in rows if not visit.means.ahead][:kept]


def last_trimmed_on(horse: Horse) -> date | None:
    trim = Trim.objects.in_force().filter(horse=horse).order_by("-trimmed_on").first()
    return trim.trimmed_on if trim else None


def short_day(moment: datetime) -> str:
    """ "3 Nov 2026", the day where the installation is."""
    return f"{timezone.localtime(moment):%-d %b %Y}"


@dataclass(frozen=True)
class PlanLine:
    """One plan item as everyone reads it: its newest version and where that stands."""

    item: PlanItem
    version: PlanItemVersion
    state: Agreed
    my_word_missing: bool
    names: dict[str, str]  # role -> who said so and when, in words
    vacant: tuple[str, ...]  # required roles with nobody on the team
    # role -> the words of its other people, where they are not of one mind: "agreed: Vera Vet, 2 Nov"
    others: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    reply_waits: bool = False  # somebody replied to my "no" or my wish, and I said nothing since
    new_vet_words: str = ""  # that the vet's word is from somebody new here (see newcomers.py)

    @property
    def is_open(self) -> bool:
        return self.item.status == PlanItem.Status.OPEN

    @property
    def set_alone(self) -> bool:
        """Set by the vet alone, and not agreed by the others yet."""
        return self.version.emergency and self.is_open and not self.state.is_agreed

    @property
    def in_force(self) -> bool:
        return self.is_open and in_force(self.state, emergency=self.version.emergency)

    @property
    def missing_words(self) -> str:
        """ "owner and farrier missing; vet declined": what keeps it from being agreed."""
        said = {"waiting": "missing", "asked": "asks for a change", "declined": "declined"}
        parts = []
        for mark, words in said.items():
            roles = [role for role in self.state.missing if self.state.marks[role] == mark]
            parts += [f"{listed(roles)} {words}"] if roles else []
        return "; ".join(parts)


def plan_for(
    access: CaseAccess,
    *,
    open_only: bool = False,
    members: Sequence[Membership] | None = None,
) -> list[PlanLine]:
    """The plan of the case, item by item. `members`: everybody who is or was on the case, for a
    page that has read them already."""
    versions = PlanItemVersion.objects.select_related("proposed_by").prefetch_related("agreements")
    if members is None:
        members = list(Membership.objects.filter(case=access.case).select_related("person"))
    case = copy(
        access.case
    )  # with its members as they were read; that of the access stays as it is
    case._prefetched_objects_cache = {  # type: ignore[attr-defined]  # Django's own, not in its types
        "memberships": [m for m in members if m.case_id == case.pk]
    }
    items = PlanItem.objects.filter(case=case).prefetch_related(
        Prefetch("versions", queryset=versions.order_by("number"))
    )
    if open_only:
        items = items.filter(status=PlanItem.Status.OPEN)
    held = {m.role for m in case.memberships.all() if m.left_at is None}
    roles = [role.value for role in AGREEING_ROLES if role in held]
    lines = []
    rows = list(items)
    newest = [list(item.versions.all())[-1] for item in rows]
    prefetch_related_objects([v for v in newest if _objected(access, v)], "replies")
    for item in rows:
        item.case = case
        lines.append(plan_line(item, list(item.versions.all())[-1], roles, access))
    return lines


def plan_line(
    item: PlanItem, version: PlanItemVersion, roles: list[str], access: CaseAccess
) -> PlanLine:
    state = version_state(version, roles)
    names: dict[str, str] = {}
    mine: Agreement | None = None
    last = {(word.person_id, word.role): word for word in version.agreements.all()}
    for word in last.values():
        if MARK_OF[word.decision] == state.marks.get(word.role):  # whose word made the mark
            names[word.role] = f"{word.person_name}, {short_day(word.decided_at)}"
        if word.person_id == access.person.pk and word.role == access.role:
            mine = word
    asked = (
        item.status == PlanItem.Status.OPEN
        and access.case.is_open
        and access.role in AGREEING_ROLES
    )
    replied = mine is not None and _replied_to(mine, version)
    others = {
        role: tuple(f"{said_words(w)}, {short_day(w.decided_at)}" for w in rest)
        for role in names
        if (rest := words_beside(role, list(last.values()), state.marks[role]))
    }
    vacant = tuple(role for role in state.marks if role not in roles)
    waiting = mine is None and state.marks.get(access.role) == "waiting"
    return PlanLine(
        item,
        version,
        state,
        asked and (waiting or replied),
        names,
        vacant,
        others,
        asked and replied,
        new_vet_words(version, last.values()),
    )


def _objected(access: CaseAccess, version: PlanItemVersion) -> bool:
    """Whether this person ever said "no" to it or asked for a change."""
    return any(
        word.person_id == access.person.pk and word.decision != Agreement.Decision.AGREE
        for word in version.agreements.all()
    )


def _replied_to(word: Agreement, version: PlanItemVersion) -> bool:
    """Whether somebody else has replied since this "no" or this wish for a change."""
    return word.decision != Agreement.Decision.AGREE and any(
        reply.person_id != word.person_id and reply.said_at >= word.decided_at
        for reply in version.replies.all()
    )


def alerts_for(access: CaseAccess) -> list[Alert]:
    """The open alerts and remarks of the horse that belong on this board, alerts first."""
    words = AlertResponse.objects.filter(case=access.case).select_related("person").order_by("pk")
    rows = (
        Alert.objects.filter(Q(case=access.case) | Q(case=None), horse=access.horse)
        .filter(cleared_at=None)
        .prefetch_related(Prefetch("words", queryset=words))
    )
    return sorted(rows, key=lambda a: (a.weight != Alert.Weight.ALERT, -a.raised_at.timestamp()))
