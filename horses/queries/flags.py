"""One flag as one person may read it, whom to ring about it, and who reads it."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from django.db.models import F, OuterRef, Q, QuerySet, Subquery
from django.http import Http404

from horses.access import CaseAccess, active_memberships
from horses.domain.wording import readers_short
from horses.models import Flag, FlagAnswer, Horse, Membership, Note, Person, Picture, Role
from horses.queries.board import flag_is_open, flags_for, notes_for


def vet_numbers(access: CaseAccess, team: Sequence[Membership]) -> list[dict[str, str]]:
    """Whom to ring: the horse's emergency vet first, then the vets on the team."""
    horse = access.horse
    numbers = [
        {"phone": m.person.phone, "name": str(m.person), "label": "vet on the team"}
        for m in team
        if m.role == Role.VET and m.person.phone
    ]
    if horse.emergency_vet_phone:
        name = horse.emergency_vet_name
        label = "emergency vet"
        numbers.insert(0, {"phone": horse.emergency_vet_phone, "name": name, "label": label})
    return numbers


def in_care(horse: Horse) -> bool:
    """Whether flags still ask for somebody: not for a horse that was sold or died, but for one that rests."""
    return horse.state != Horse.State.ENDED


def asked_in_care() -> Q:
    """Condition on flags: somebody is still asked about them. A flag raised after the care ended shows
    that it goes on."""
    ended = Q(case__horse__state=Horse.State.ENDED)
    return ~ended | Q(raised_at__gt=F("case__horse__state_at"))


def open_flags_on(person: Person) -> QuerySet[Flag]:
    """The flags on all open boards of the person that nobody has closed and that still ask for
    somebody."""
    cases = active_memberships(person).filter(case__closed_at=None).values("case")
    return open_among(Flag.objects.filter(case__in=cases))


def open_among(flags: QuerySet[Flag]) -> QuerySet[Flag]:
    """Those that nobody has closed and that still ask for somebody."""
    newest = FlagAnswer.objects.filter(flag=OuterRef("pk")).order_by("-pk")
    settling = newest.filter(Q(closes=True) | Q(kind=FlagAnswer.Kind.REOPENED)).values("closes")
    asked = flags.filter(asked_in_care()).annotate(closed=Subquery(settling[:1]))
    # Not "exclude": a flag without such an answer has no value to compare, and would be left out.
    return asked.filter(Q(closed=None) | Q(closed=False))


def flags_asked(access: CaseAccess, flags: Sequence[Flag]) -> tuple[list[Flag], list[Flag]]:
    """The open flags that still ask for somebody, and those that were left open at the end."""
    horse, since = access.horse, access.horse.state_at
    asked = [
        flag
        for flag in flags
        if access.case.is_open and (in_care(horse) or (since and flag.raised_at > since))
    ]
    return asked, [flag for flag in flags if flag not in asked]


def others_on(access: CaseAccess, team: Sequence[Membership]) -> list[str]:
    """ "Vera Vet (vet)" for everybody else on the team."""
    return [f"{m.person} ({m.role})" for m in team if m.person_id != access.person.pk]


@dataclass
class ScopedWords:
    """An answer's words that only part of the team reads, and what corrected them later."""

    note: Note
    readers: str
    corrected_by: "ScopedWords | None" = None


@dataclass
class AnswerShown:
    answer: FlagAnswer
    who: str
    scoped: ScopedWords | None = None  # None too when its readers do not include this person


@dataclass
class FlagShown:
    """One flag as this person may read it."""

    flag: Flag
    is_open: bool
    is_mine: bool
    answers: list[AnswerShown] = field(default_factory=list)

    @property
    def pictures(self) -> list[Picture]:
        return list(self.flag.pictures.all())


def flag_get(access: CaseAccess, flag_id: str) -> Flag:
    flag = flags_for(access).filter(public_id=flag_id).first()
    if flag is None:
        raise Http404("no such flag")
    return flag


def flag_shown(access: CaseAccess, flag: Flag) -> FlagShown:
    shown = FlagShown(flag, flag_is_open(flag), flag.raised_by_id == access.person.pk)
    # Only the notes that this person's role may read: the words of the others never get here.
    notes = {note.pk: note for note in notes_for(access).filter(flag=flag)}
    # Oldest first, so that of two corrections of one note the newer stands.
    later = {note.corrects_id: note for note in reversed(notes.values()) if note.corrects_id}
    for answer in flag.answers.all():
        note = notes.get(answer.note_id) if answer.note_id else None
        who = f"{answer.answered_by} ({answer.answered_role})"
        shown.answers.append(AnswerShown(answer, who, _scoped(note, later) if note else None))
    return shown


def _scoped(note: Note, later: dict[int, Note]) -> ScopedWords:
    correction = later.get(note.pk)
    words = ScopedWords(note, readers_short(note.audience_roles))
    words.corrected_by = _scoped(correction, later) if correction else None
    return words
