"""Flags: "something's not right", and the answers of the others."""

from datetime import date, datetime
from typing import Any

from django.http import Http404
from django.urls import reverse

from caseboard.lib.words import own_sides
from horses.access import CaseAccess, audience_of
from horses.domain.agreement import side_of
from horses.domain.signs import SIGN, advice, is_lost_shoe, urgency
from horses.domain.wording import foot_words, listed
from horses.models import Flag, FlagAnswer, Person, Role
from horses.services.deed import DeedRefused, deed
from horses.services.notes import note_make
from horses.services.shoes import loss_record, stand_ins_wait


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
    with deed(access, "flag.raise", now=now, key=client_key) as act:
        payload = {
            "case": access.case.public_id,
            "signs": signs,
            "feet": feet,
            "since": since_on,
            "words": words,
        }
        if earlier := act.made_before(Flag, payload):
            return earlier
        flag = act.row(
            Flag.objects.create(
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
        )
        lost, again = loss_record(access, flag, now) if "lost_shoe" in signs else ([], "")
        act.rows(lost)
        act.line("flag.raised", flag, after=_flag_after(flag))
        act.tell(
            "flag.raised",
            flag,
            lambda person: _flag_subject(access, flag, person),
            body=lambda person: _told_words(access, flag, again, person),
            path=_flag_path(flag),
            urgent=flag.urgency == Flag.Urgency.NOW,
            stand_ins=not stand_ins_wait(flag),
        )
        act.evaluate()
        return act.made(flag)


def _flag_after(flag: Flag) -> dict[str, Any]:
    return {
        "signs": [SIGN[key].words for key in flag.signs],
        "feet": flag.feet,
        "since": str(flag.since_on) if flag.since_on else "",
        "words": flag.words,
        "urgency": flag.urgency,
    }


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
    phoned = kind == FlagAnswer.Kind.VET_PHONED
    action = "flag.vet_phoned" if phoned else "flag.answer"
    with deed(access, action, now=now, key=client_key) as act:
        flag = Flag.objects.filter(case=access.case, public_id=flag_id).first()
        if flag is None:
            raise Http404("no such flag")
        if not words.strip():
            raise DeedRefused("Write a few words: the others read this answer.", field="words")
        payload = {
            "flag": flag_id,
            "words": words,
            "kind": kind,
            "audience": sorted(audience or ()),
        }
        if earlier := act.made_before(FlagAnswer, payload):
            return earlier
        note = None
        if audience is not None:
            note = note_make(act, body=words, audience=audience, flag=flag)
        closes = closes_flag(flag, role=access.role, kind=kind)
        told = audience is None or side_of(flag.raised_role) in audience
        answer = act.row(
            FlagAnswer.objects.create(
                flag=flag,
                answered_by=access.person,
                answered_role=access.role,
                answered_at=now,
                kind=kind,
                words="" if note else words,
                note=note,
                closes=closes and told,
            )
        )
        after = {"kind": kind, "words": answer.words, "closes": answer.closes}
        act.line("flag.answered", flag, after=after)
        # Who reads the words has a notice of the note: one event, one notice a person.
        others = audience_of(set(Role.values) - (audience or frozenset()))
        subject = f"{access.horse.name}: {access.person} answered the flag"
        path = _flag_path(flag)
        act.tell("flag.answered", answer, subject, body=answer.words, path=path, audience=others)
        act.evaluate()
        return act.made(answer)
