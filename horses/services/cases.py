"""Cases: opened for a concern with the same team, closed with an outcome."""

from dataclasses import replace
from datetime import datetime

from caseboard.lib.best_effort import best_effort
from horses.access import CaseAccess
from horses.models import Case, CaseSeen, Flag, Membership, Role
from horses.services.deed import DeedRefused, deed
from horses.services.notes import note_make
from horses.services.versions import conflict_over


def case_open(
    *, access: CaseAccess, title: str, why: str = "", client_key: str = "", now: datetime
) -> Case:
    """Opens a concern on the same horse; the whole team of the case one stands on comes along. Whoever
    is here through a yard comes only where the owner opens it: their place is the standing care.

    `why` becomes the first note of the new case, for the whole team.
    """
    with deed(access, "case.open", now=now, key=client_key) as act:
        payload = {"case": access.case.public_id, "title": title, "why": why}
        if earlier := act.made_before(Case, payload):
            return earlier
        case = Case.objects.create(
            horse=access.horse,
            kind=Case.Kind.CONCERN,
            title=title,
            opened_at=now,
            opened_by=access.person,
        )
        _team_along(access, case, now)
        there = act.on(replace(access, case=case))
        there.line("case.opened", case, after={"title": title})
        subject = f"{access.horse.name}: {access.person} opened the case “{title}”"
        there.tell("case.opened", case, subject, body=why)
        if why:
            note_make(there, body=why, audience=frozenset(Role.values), tell=False)
        act.evaluate()
        return act.made(case)


def _team_along(here: CaseAccess, there: Case, now: datetime) -> None:
    for member in Membership.objects.filter(case=here.case, left_at__isnull=True):
        mine = member.person_id == here.person.pk
        if member.via_id and Role.OWNER not in (here.role, member.role) and not mine:
            continue
        Membership.objects.create(
            case=there,
            person_id=member.person_id,
            role=member.role,
            stand_in=member.stand_in,
            runs_yard=member.runs_yard,
            via_id=member.via_id,
            holds=member.holds,
            joined_at=now,
            invited_by_id=member.invited_by_id,
            confirmed_by_id=member.confirmed_by_id,
            confirmed_at=member.confirmed_at,
        )


def case_close(*, access: CaseAccess, outcome: str, words: str, now: datetime) -> Case:
    """Closes a concern with its outcome in words. The standing case of a horse is not closed.

    Raises Conflict when somebody closed it first.
    """
    with deed(access, "case.close", now=now, closed_too=True, team_first=True) as act:
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
        _may_end(case, words)
        case.closed_at, case.outcome, case.outcome_words = now, Case.Outcome(outcome), words
        case.version += 1
        case.save(update_fields=["closed_at", "outcome", "outcome_words", "version"])
        closed = act.on(replace(access, case=case))
        closed.line("case.closed", case, after={"outcome": outcome, "words": words})
        subject = f"{case.horse.name}: the case “{case.title}” was closed"
        closed.tell("case.closed", case, subject, body=words)
        act.evaluate()
        return case


def _may_end(case: Case, words: str) -> None:
    if case.kind == Case.Kind.ROUTINE:
        raise DeedRefused("The standing case stays open. Pause the horse's care instead.")
    if _urgent_flag_open(case):
        raise DeedRefused(
            "An urgent flag is still open. It needs a vet's answer, or what the vet said on the "
            "phone, before the case is closed."
        )
    if not words.strip():
        raise DeedRefused("Say in a few words how it ended: it is read years later.")


def case_mark_seen(*, access: CaseAccess, now: datetime, only_look: bool = False) -> int:
    """Remembers how far the person has read, and returns how far they had read before.

    `only_look`: their phone fetches the page for later, and nobody has read it yet.

    Best effort: the board is read while nothing can be written, too.
    Writes only when there is something new: on SQLite every writing transaction waits for the
    one before it, and a board that is looked at must not.
    """
    seen = CaseSeen.objects.filter(person=access.person, case=access.case).first()
    if seen is not None and (only_look or seen.seq == access.case.last_seq):
        return seen.seq
    if only_look:
        return 0

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
