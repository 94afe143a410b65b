"""The one place that says who may do what.

`POLICY` is the table; views, services, tasks, the printed sheet and the tests read it. Seeing
comes first: a person who is not on the case gets "not found" (nobody learns that it exists);
a person on it who may not do a thing gets "not allowed".

Decided 2026-11: a CaseAccess is a ticket, and `require` reads the membership again at every deed. A
write keeps the membership locked to its commit; a removal or a closing locks the whole team first.
Looking as another role intersects both roles' rights and refuses every deed (`own_role`).
"""

from dataclasses import dataclass, replace

from django.core.exceptions import PermissionDenied
from django.db import connection
from django.db.models import Q, QuerySet
from django.http import Http404

from caseboard.lib.prepared import Prepared
from horses.models import Case, Horse, Membership, Person, Role

OWNER, FARRIER, VET, CARER = Role.OWNER, Role.FARRIER, Role.VET, Role.CARER
EVERYONE = frozenset({OWNER, FARRIER, VET, CARER})
THREE = frozenset({OWNER, FARRIER, VET})


class NotFresh(PermissionDenied):
    """The right is there, but it is too long ago that the person showed who they are."""


class CaseClosed(PermissionDenied):
    """The role would have been right, but nothing is written on a closed case any more."""


@dataclass(frozen=True)
class Rule:
    """One line of the policy: what, in words, by which roles, and on an open case only or not."""

    action: str
    words: str
    roles: frozenset[Role]
    open_case_only: bool = True
    condition: str = ""  # a further condition in words; the service that owns it checks it
    holder: bool = False  # also whoever holds the horse for an owner without an account
    asks_again: bool = False  # a phone left lying about must not be enough: a fresh code first
    runs_yard: bool = False  # also by a carer who manages the yard where the horse stands


POLICY: dict[str, Rule] = {
    rule.action: rule
    for rule in (
        Rule(
            "case.see", "See the board, the series, the history and the plan sheet", EVERYONE, False
        ),
        Rule(
            "case.look_as",
            "Look at the board as another role sees it",
            frozenset({OWNER}),
            False,
            "to look only, and never more than one sees oneself; everybody may look at their own "
            "role's",
        ),
        Rule("case.open", "Open a case for a concern", THREE),
        Rule(
            "case.close", "Close a case with its outcome", frozenset({OWNER, VET}), asks_again=True
        ),
        Rule(
            "case.export",
            "Take a copy of the case, as far as one reads it",
            EVERYONE,
            False,
            asks_again=True,
        ),
        Rule(
            "horse.edit", "Change what is written about the horse", frozenset({OWNER}), holder=True
        ),
        Rule(
            "horse.pause",
            "Pause or end the horse's care, or take it up again",
            frozenset({OWNER}),
            holder=True,
        ),
        Rule(
            "owner.contact",
            "Show or erase what is kept of an owner without an account",
            frozenset({OWNER}),
            False,
            holder=True,
        ),
        Rule(
            "horse.move",
            "Put the horse in a yard, or take it to another",
            frozenset({OWNER}),
            True,
            "a yard where one has a place",
            asks_again=True,
        ),
        Rule(
            "horse.sell",
            "Sell the horse: what passes on, who leaves, and when",
            frozenset({OWNER}),
            asks_again=True,
        ),
        Rule("horse.weigh", "Record a weight", THREE, runs_yard=True),
        Rule(
            "team.invite",
            "Invite someone to the team",
            frozenset({OWNER}),
            True,
            "whoever holds a horse invites its owner only",
            holder=True,
            asks_again=True,
        ),
        Rule("team.uninvite", "Take an invitation back", frozenset({OWNER}), holder=True),
        Rule(
            "team.confirm",
            "Confirm knowing a new vet or farrier",
            THREE,
            True,
            "not by whoever invited them, nor by anybody whom the same person invited; only by "
            "somebody here from the start, or confirmed",
            asks_again=True,
        ),
        Rule(
            "team.remove",
            "Remove someone from the team",
            frozenset({OWNER}),
            False,
            asks_again=True,
        ),
        Rule(
            "team.hand_over",
            "Hand over from one vet or farrier to another",
            frozenset({OWNER}),
            asks_again=True,
        ),
        Rule(
            "team.yard",
            "Decide who of the yard is on the horse",
            frozenset({OWNER}),
            asks_again=True,
        ),
        Rule("team.leave", "Leave the team", EVERYONE, False, "the last owner stays"),
        Rule("look.mark", "Say that a horse was looked at", EVERYONE),
        Rule(
            "look.undo",
            "Take a look back",
            EVERYONE,
            True,
            "only one's own, and for ten minutes; both lines are kept",
        ),
        Rule("flag.raise", "Say that something is not right", EVERYONE),
        Rule(
            "flag.answer",
            "Answer a flag",
            THREE,
            True,
            "an urgent flag closes only by a vet, or by what the vet said on the phone",
        ),
        Rule(
            "flag.vet_phoned",
            "Write down what the vet said on the phone",
            frozenset({OWNER}),
            runs_yard=True,
        ),
        Rule("flag.photo", "Add a photo to a flag, also later", EVERYONE),
        Rule("picture.add", "Add a picture", EVERYONE, True, "a film: only a vet"),
        Rule(
            "picture.redact",
            "Blank out a picture",
            EVERYONE,
            False,
            "the owner any that they see; everybody else only their own",
        ),
        Rule("shoe.back", "Say what became of a lost shoe", frozenset({OWNER, FARRIER, CARER})),
        Rule(
            "note.write",
            "Write a note",
            EVERYONE,
            True,
            "the readers always include the writer's own role; a carer's are the whole team",
        ),
        Rule("exam.record", "Record a vet's examination", frozenset({VET})),
        Rule(
            "exam.correct",
            "Correct an examination, or take it back",
            frozenset({VET}),
            True,
            "only one's own; the earlier one is kept and struck through",
        ),
        Rule("reading.record", "Record measurements", THREE, runs_yard=True),
        Rule(
            "reading.correct",
            "Correct a measurement",
            THREE,
            True,
            "only one's own",
            runs_yard=True,
        ),
        Rule(
            "points.place",
            "Place points on a picture, once or again",
            THREE,
            True,
            "without seeing where others placed them; a repeat never takes a reading's place",
            runs_yard=True,
        ),
        Rule("points.place_on_film", "Place points on a film, once or again", frozenset({VET})),
        Rule("reading.import", "Read in a table of old measurements", THREE),
        Rule("work.record", "Record the farrier's work on the feet", frozenset({FARRIER})),
        Rule(
            "visit.void",
            "Take back a visit that was written up by mistake",
            frozenset({FARRIER}),
            True,
            "only one's own, or a farrier's who is no longer on any board of the horse; "
            "it is kept and struck through",
        ),
        Rule(
            "visit.correct",
            "Correct a visit that was written up",
            frozenset({FARRIER}),
            True,
            "only one's own; the earlier version is kept and struck through",
        ),
        Rule("visit.plan", "Plan, move or cancel a visit", THREE, runs_yard=True),
        Rule(
            "visit.report",
            "Say that a visit took place, or that it did not",
            EVERYONE,
            True,
            "marked as reported until whoever did the work confirms it; taken back by whoever said "
            "it, without a reason for ten minutes",
        ),
        Rule(
            "visit.vouch",
            "Confirm a visit that others reported",
            frozenset({FARRIER, VET}),
            True,
            "only a farrier confirms the farrier's work, only a vet the vet's",
        ),
        Rule(
            "visit.confirm",
            "Confirm the day of a visit",
            THREE,
            True,
            "not by the role that planned it",
        ),
        Rule("visit.late", "Say that one is late for a visit", frozenset({FARRIER})),
        Rule(
            "interval.set",
            "Set the time between trims",
            THREE,
            True,
            "a vet's order is given and changed by a vet only",
        ),
        Rule("stance.note", "Note how a foot points", THREE),
        Rule("target.routine", "Set a routine aim", frozenset({FARRIER, VET})),
        Rule("target.therapeutic", "Set a therapeutic target", frozenset({VET})),
        Rule("plan.propose", "Propose a plan item", THREE),
        Rule("plan.therapeutic", "Propose or change a therapeutic plan item", frozenset({VET})),
        Rule(
            "plan.emergency",
            "Set a treatment item alone when it cannot wait",
            frozenset({VET}),
            True,
            "with the reason; in force at once, never counted as agreed before the others have "
            "agreed, and no longer in force once one of them declines",
        ),
        Rule(
            "plan.agree",
            "Agree, decline or ask for a change, for one's own role",
            THREE,
            True,
            "a decline and a wish come with their reason",
        ),
        Rule(
            "plan.agree_therapeutic",
            "Agree to a therapeutic plan item, for one's own role",
            THREE,
            asks_again=True,
        ),
        Rule("plan.reply", "Answer in words somebody who declined or asked for a change", THREE),
        Rule(
            "plan.finish",
            "Mark a plan item done or withdraw it",
            THREE,
            True,
            "done: by the role whose job it is; withdrawn: by the role that proposed it; "
            "a therapeutic item: both by the vet",
        ),
        Rule("sheet.issue", "Issue a plan sheet", THREE, False),
        Rule("alert.see", "Mark an alert as seen", EVERYONE),
        Rule("alert.answer", "Answer an alert", THREE),
    )
}


@dataclass(frozen=True)
class CaseAccess:
    """Where one person stands on one case: the ticket that every service asks for."""

    person: Person
    case: Case
    role: Role
    stand_in: bool = False
    own_role: Role | None = None  # only while looking as another role: the person's own
    # Whether the person showed lately who they are. Only a view that looked at its session sets it
    # (horses/accounts/views/reauthentication.py).
    fresh: bool = False
    runs_yard: bool = False  # a carer who manages the yard where the horse stands
    holds: bool = False  # the horse, for an owner without an account

    @property
    def horse(self) -> Horse:
        return self.case.horse


def active_memberships(person: Person) -> QuerySet[Membership]:
    if not _may_be_on(person):
        return Membership.objects.none()
    return Membership.objects.filter(person=person, left_at__isnull=True)


def _may_be_on(person: Person) -> bool:
    return person.is_authenticated and person.is_active


def _membership_of(person: int, case: str) -> QuerySet[Membership]:
    on_it = Membership.objects.filter(person=person, left_at__isnull=True, case__public_id=case)
    return on_it.select_related("case__horse__clock", "person").order_by("pk")[:1]


_MEMBERSHIP = Prepared(_membership_of)  # begins every page of a case


def cases_for(person: Person) -> QuerySet[Case]:
    """The cases a person is on now; every read of a case starts here."""
    return Case.objects.filter(pk__in=active_memberships(person).values("case_id")).select_related(
        "horse"
    )


def access_get(person: Person, case_public_id: str, *, fresh: bool = False) -> CaseAccess:
    """The person's access to the case; Http404 for a stranger and for an unknown id alike."""
    found = _MEMBERSHIP.rows(person=person.pk, case=case_public_id) if _may_be_on(person) else []
    if not found:
        raise Http404("no such case")
    return _access(person, found[0], found[0].case, fresh=fresh)


def access_on(person: Person, case: Case) -> CaseAccess | None:
    """The same for code that has the case already (tasks, notices): None when not on it."""
    membership = active_memberships(person).filter(case=case).first()
    if membership is None:
        return None
    return _access(person, membership, case)


def _access(
    person: Person, membership: Membership, case: Case, *, fresh: bool = False
) -> CaseAccess:
    return CaseAccess(
        person,
        case,
        Role(membership.role),
        membership.stand_in,
        fresh=fresh,
        holds=membership.holds,
        runs_yard=membership.runs_yard,
    )


def access_of(person: Person, membership: Membership) -> CaseAccess:
    """The same for code that has read an active membership of the person, with its case."""
    return _access(person, membership, membership.case)


def may(access: CaseAccess, action: str) -> bool:
    rule = POLICY[action]
    if access.own_role is not None:
        return False  # whoever looks as another role may only look
    return _reaches(rule, access.role, holds=access.holds, runs_yard=access.runs_yard) and (
        access.case.is_open or not rule.open_case_only
    )


def _reaches(rule: Rule, role: Role, *, holds: bool, runs_yard: bool) -> bool:
    return role in rule.roles or (rule.holder and holds) or (rule.runs_yard and runs_yard)


def require(
    access: CaseAccess, action: str, *, closed_too: bool = False, only_look: bool = False
) -> None:
    """Raises PermissionDenied with the reason in words when the table does not allow it.

    The membership and the case are read again: an access may have been handed out before a
    removal, or before the case was closed. Inside a transaction the membership stays locked until
    its end, so that a removal or a closing waits for a write under way, or the write for it.
    `closed_too`: the caller says itself, and more kindly, that the case has been closed.
    `only_look`: for the page before the deed, which asks for the fresh code itself.
    """
    rule = POLICY[action]
    current = _membership_now(access)
    if access.own_role is not None:
        raise PermissionDenied("You are looking as another role: nothing can be done from here.")
    if current is None or (current.role, current.runs_yard) != (access.role, access.runs_yard):
        raise PermissionDenied("You are no longer on this team.")
    if not _reaches(rule, access.role, holds=current.holds, runs_yard=current.runs_yard):
        who = " or ".join(role.label for role in THREE_AND_CARER if role in rule.roles)
        raise PermissionDenied(f"“{rule.words}” is for the {who} of this case.")
    if rule.open_case_only and not closed_too and not current.case.is_open:
        raise CaseClosed("This case is closed: it can be read, and nothing more is written on it.")
    if rule.asks_again and not (access.fresh or only_look):
        raise NotFresh("It is a while since you showed that it is you. Go back and send it again.")


def _membership_now(access: CaseAccess) -> Membership | None:
    """The membership as it is at this moment, with its case.

    SQLite's transactions hold the one write lock from their beginning; PostgreSQL is asked for the
    row. Memberships are locked before the horse and the case. The case is read after the lock: what
    a join brings along was read before the wait.
    """
    if not (connection.in_atomic_block and connection.features.has_select_for_update):
        found = _MEMBERSHIP.rows(person=access.person.pk, case=access.case.public_id)
        return found[0] if found and _may_be_on(access.person) else None
    memberships = active_memberships(access.person).filter(case=access.case)
    return memberships.select_for_update(no_key=True).first()


def team_lock(case: Case) -> list[Membership]:
    """Waits for every write of the team that is under way, and keeps new ones waiting; the members.

    In the order of their ids, so that two who do this at once cannot wait for each other.
    """
    active = Membership.objects.filter(case=case, left_at__isnull=True).order_by("pk")
    return list(active.select_for_update(no_key=True))


THREE_AND_CARER = (OWNER, FARRIER, VET, CARER)
TEAM_AUDIENCE = ",owner,farrier,vet,carer,"


def audience_of(roles: "frozenset[str] | set[str]") -> str:
    """The stored form of a set of reader roles, in a fixed order: ",farrier,vet,"."""
    return "," + ",".join(role for role in THREE_AND_CARER if role in roles) + ","


def readable_by(access: CaseAccess, field: str = "audience") -> Q:
    """The filter that keeps rows whose audience holds the person's role; while looking as another
    role, theirs as well: a preview never shows more than the person may see."""
    return readable_as(access.role, access.own_role, field)


def readable_as(role: str, own_role: str | None, field: str = "audience") -> Q:
    """The same for a role, and the reader's own where it is another."""
    readable = Q(**{f"{field}__contains": f",{role},"})
    if own_role is not None:
        readable &= Q(**{f"{field}__contains": f",{own_role},"})
    return readable


def looking_as(access: CaseAccess, role: Role) -> CaseAccess:
    """The board as the role sees it, to look at only. Another role's is for the owner."""
    if role != access.role:
        require(access, "case.look_as")
    return replace(
        access, role=role, stand_in=False, holds=False, runs_yard=False, own_role=access.role
    )
