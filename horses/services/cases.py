"""Cases: opened for a concern with the same team, closed with an outcome."""

from dataclasses import replace
from datetime import datetime

from django.db import transaction

from caseboard.lib.best_effort import best_effort
from horses.access import TEAM_AUDIENCE, CaseAccess, require, team_lock
from horses.ledger.append import history_append
from horses.models import Case, CaseSeen, Flag, Membership, Role
from horses.notices.create import notify
from horses.rules.engine import evaluation_enqueue
from horses.services.idempotency import idempotent
from horses.services.notes import note_make
from horses.services.versions import conflict_over


class OutcomeMissing(Exception):
    """A case cannot be closed without saying how it ended."""


@transaction.atomic
def case_open(
    *, access: CaseAccess, title: str, why: str = "", client_key: str = "", now: datetime
) -> Case:
    """Opens a concern on the same horse; the whole team of the case one stands on comes along.

    `why` becomes the first note of the new case, for the whole team.
    """
    require(access, "case.open")

    def make() -> Case:
        case = Case.objects.create(
            horse=access.horse,
            kind=Case.Kind.CONCERN,
            title=title,
            opened_at=now,
            opened_by=access.person,
        )
        for member in Membership.objects.filter(case=access.case, left_at__isnull=True):
            Membership.objects.create(
                case=case,
                person_id=member.person_id,
                role=member.role,
                stand_in=member.stand_in,
                joined_at=now,
                invited_by_id=member.invited_by_id,
                confirmed_by_id=member.confirmed_by_id,
                confirmed_at=member.confirmed_at,
            )
        history_append(
            case=case,
            actor=access.person,
            role=access.role,
            verb="case.opened",
            subject=case.public_id,
            after={"title": title},
            now=now,
        )
        notify(
            event=f"case.opened:{case.public_id}",
            case=case,
            verb="case.opened",
            subject=f"{access.horse.name}: {access.person} opened the case “{title}”",
            body=why,
            audience=TEAM_AUDIENCE,
            actor=access.person,
            now=now,
        )
        if why:
            there = replace(access, case=case)
            note_make(there, body=why, audience=frozenset(Role.values), tell=False, now=now)
        evaluation_enqueue(access.horse, now=now)
        return case

    payload = {"case": access.case.public_id, "title": title, "why": why}
    return idempotent(access.person, client_key, payload, now=now, make=make, model=Case)


@transaction.atomic
def case_close(*, access: CaseAccess, outcome: str, words: str, now: datetime) -> Case:
    """Closes a concern with its outcome in words. The standing case of a horse is not closed.

    Raises Conflict when somebody closed it first.
    """
    team_lock(access.case)  # what is being written is finished first, and nothing after it
    require(access, "case.close", closed_too=True)
    case = Case.objects.select_for_update(no_key=True).get(pk=access.case.pk)
    if case.closed_at is not None:
        if (case.outcome, case.outcome_words) == (outcome, words):
            return case  # the same form sent twice
        raise conflict_over(
            access,
            case,
            mine={"outcome": Case.Outcome(outcome).label, "words": words},
            theirs={"outcome": case.get_outcome_display(), "words": case.outcome_words},
        )
    if case.kind == Case.Kind.ROUTINE:
        raise OutcomeMissing("The standing case stays open. Pause the horse's care instead.")
    if _urgent_flag_open(case):
        raise OutcomeMissing(
            "An urgent flag is still open. It needs a vet's answer, or what the vet said on the "
            "phone, before the case is closed."
        )
    if not words.strip():
        raise OutcomeMissing("Say in a few words how it ended: it is read years later.")
    case.closed_at, case.outcome, case.outcome_words = now, Case.Outcome(outcome), words
    case.version += 1
    case.save(update_fields=["closed_at", "outcome", "outcome_words", "version"])
    history_append(
        case=case,
        actor=access.person,
        role=access.role,
        verb="case.closed",
        subject=case.public_id,
        after={"outcome": outcome, "words": words},
        now=now,
    )
    notify(
        event=f"case.closed:{case.public_id}",
        case=case,
        verb="case.closed",
        subject=f"{case.horse.name}: the case “{case.title}” was closed",
        body=words,
        audience=TEAM_AUDIENCE,
        actor=access.person,
        now=now,
    )
    evaluation_enqueue(case.horse, now=now)
    return case


def case_mark_seen(*, access: CaseAccess, now: datetime) -> int:
    """Remembers how far the person has read, and returns how far they had read before.

    Best effort: the board is read while nothing can be written, too.
    Writes only when there is something new: on SQLite every writing transaction waits for the
    one before it, and a board that is looked at must not.
    """
    seen = CaseSeen.objects.filter(person=access.person, case=access.case).first()
    if seen is not None and seen.seq == access.case.last_seq:
        return seen.seq

    def write() -> None:
        row = CaseSeen(
            person=access.person, case=access.case, seq=access.case.last_seq, seen_at=now
        )
        CaseSeen.objects.bulk_create(
            [row],
            update_conflicts=True,
            unique_fields=["person", "case"],
            update_fields=["seq", "seen_at"],
        )

    best_effort("case.seen", write, otherwise=None)
    return seen.seq if seen else 0


def _urgent_flag_open(case: Case) -> bool:
    urgent = Flag.objects.filter(case=case, urgency=Flag.Urgency.NOW)
    return urgent.exclude(answers__closes=True).exists()
