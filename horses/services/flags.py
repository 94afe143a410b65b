"""Flags: "something's not right", and the answers of the others."""

from datetime import date, datetime

from django.db import transaction
from django.http import Http404
from django.urls import reverse

from caseboard.lib.words import own_sides
from horses.access import TEAM_AUDIENCE, CaseAccess, audience_of, require
from horses.domain.agreement import side_of
from horses.domain.signs import SIGN, advice, is_lost_shoe, urgency
from horses.domain.wording import foot_words, listed
from horses.ledger.append import history_append
from horses.models import Flag, FlagAnswer, Note, Person, Role
from horses.notices.create import notify
from horses.rules.engine import evaluation_enqueue
from horses.services.idempotency import idempotent
from horses.services.shoes import loss_record, stand_ins_wait


class AnswerRefused(Exception):
    """The answer cannot stand as given, with the reason in words."""


@transaction.atomic
def flag_raise(
    *,
    access: CaseAccess,
    signs: list[str],
    feet: list[str],
    since_on: date | None,
    words: str,
    client_key: str = "",
    now: datetime,
) -> Flag:
    """Records an observation, ranks it, and tells the others."""
    require(access, "flag.raise")
    payload = {
        "case": access.case.public_id,
        "signs": signs,
        "feet": feet,
        "since": since_on,
        "words": words,
    }

    def make() -> Flag:
        flag = Flag.objects.create(
            case=access.case,
            raised_by=access.person,
            raised_role=access.role,
            raised_at=now,
            signs=signs,
            feet=feet,
            since_on=since_on,
            words=words,
            urgency=urgency(signs),
        )
        sign_words = [SIGN[key].words for key in signs]
        lost, again = loss_record(access, flag, now) if "lost_shoe" in signs else ([], "")
        history_append(
            case=access.case,
            actor=access.person,
            role=access.role,
            verb="flag.raised",
            subject=flag.public_id,
            now=now,
            rows=[flag, *lost],
            after={
                "signs": sign_words,
                "feet": feet,
                "since": str(since_on) if since_on else "",
                "words": words,
                "urgency": flag.urgency,
            },
        )
        urgent = flag.urgency == Flag.Urgency.NOW
        notify(
            event=f"flag.raised:{flag.public_id}",
            case=access.case,
            verb="flag.raised",
            subject=lambda person: _flag_subject(access, flag, person),
            body=lambda person: _told_words(access, flag, again, person),
            path=_flag_path(flag),
            audience=TEAM_AUDIENCE,
            actor=access.person,
            urgent=urgent,
            stand_ins=not stand_ins_wait(flag),
            now=now,
        )
        evaluation_enqueue(access.horse, now=now)
        return flag

    return idempotent(access.person, client_key, payload, now=now, make=make, model=Flag)


def _flag_subject(access: CaseAccess, flag: Flag, person: Person) -> str:
    if is_lost_shoe(flag.signs, flag.feet):
        feet = listed(foot_words(foot, person) for foot in flag.feet)
        return f"{access.horse.name}: shoe lost, {feet}"
    return f"{access.horse.name}: {access.person} says something is not right"


def _told_words(access: CaseAccess, flag: Flag, again: str, person: Person) -> str:
    return "\n".join(filter(None, (flag_body(access, flag, person), own_sides(again, person))))


def _flag_path(flag: Flag) -> str:
    return reverse("flag", args=[flag.case.public_id, flag.public_id])


def flag_body(access: CaseAccess, flag: Flag, person: Person) -> str:
    """What the notice says: signs, feet, words; when it is urgent also what to do meanwhile."""
    lines = ["; ".join(flag.sign_words)]
    lines += [", ".join(foot_words(foot, person) for foot in flag.feet)] if flag.feet else []
    lines += [flag.words] if flag.words else []
    if flag.urgency == Flag.Urgency.NOW:
        horse = access.horse
        number = f"{horse.emergency_vet_name} {horse.emergency_vet_phone}".strip()
        lines += [f"Call your vet now{': ' + number if number else ''}.", *advice(flag.signs)]
    return "\n".join(lines)


def closes_flag(flag: Flag, *, role: str, kind: str) -> bool:
    """Whether an answer of this kind by this role closes the flag.

    Someone of another role than the one who raised it; an urgent flag only by a vet, or by the
    owner who writes down what the vet said on the phone. A lost shoe is open until it is known
    what became of it: "I come tomorrow" does not put it back on.
    """
    if is_lost_shoe(flag.signs or (), flag.feet or ()):
        return False
    if kind == FlagAnswer.Kind.VET_PHONED:
        return True
    if flag.urgency == Flag.Urgency.NOW:
        return role == Role.VET
    return side_of(role) != side_of(flag.raised_role)


@transaction.atomic
def flag_answer(
    *,
    access: CaseAccess,
    flag_id: str,
    words: str,
    kind: str = FlagAnswer.Kind.ANSWERED,
    audience: frozenset[str] | None = None,
    client_key: str = "",
    now: datetime,
) -> FlagAnswer:
    """Answers a flag. With an audience smaller than the team the words become a scoped note and
    the team only sees that it was answered, and by whom. Words that the side which raised it does
    not read leave it open: they have been told nothing."""
    from horses.services.notes import note_make  # the note is written inside this transaction

    phoned = kind == FlagAnswer.Kind.VET_PHONED
    require(access, "flag.vet_phoned" if phoned else "flag.answer")
    flag = Flag.objects.filter(case=access.case, public_id=flag_id).first()
    if flag is None:
        raise Http404("no such flag")
    if not words.strip():
        raise AnswerRefused("Write a few words: the others read this answer.")
    payload = {"flag": flag_id, "words": words, "kind": kind, "audience": sorted(audience or ())}

    def make() -> FlagAnswer:
        note: Note | None = None
        if audience is not None:
            note = note_make(access, body=words, audience=audience, flag=flag, now=now)
        answer = FlagAnswer.objects.create(
            flag=flag,
            answered_by=access.person,
            answered_role=access.role,
            answered_at=now,
            kind=kind,
            words="" if note else words,
            note=note,
            closes=closes_flag(flag, role=access.role, kind=kind)
            and (audience is None or side_of(flag.raised_role) in audience),
        )
        history_append(
            case=access.case,
            actor=access.person,
            role=access.role,
            verb="flag.answered",
            subject=flag.public_id,
            now=now,
            rows=[answer],
            after={"kind": kind, "words": answer.words, "closes": answer.closes},
        )
        # Who reads the words has a notice of the note: one event, one notice a person.
        others = audience_of(set(Role.values) - (audience or frozenset()))
        notify(
            event=f"flag.answered:{answer.public_id}",
            case=access.case,
            verb="flag.answered",
            subject=f"{access.horse.name}: {access.person} answered the flag",
            body=answer.words,
            path=_flag_path(flag),
            audience=others,
            actor=access.person,
            now=now,
        )
        evaluation_enqueue(access.horse, now=now)
        return answer

    return idempotent(access.person, client_key, payload, now=now, make=make, model=FlagAnswer)
