"""What the machine of tests/horses/rules/test_alert_life_machine.py knows of answers, apart from the program."""

import math
from dataclasses import dataclass
from datetime import date, timedelta

from horses.access import CaseAccess
from horses.domain.finding import Finding
from horses.models import Alert, Horse, Membership, Notice, Visit
from horses.queries.alert_quiet import QUIET_FOR

TELLS = ("alert.raised", "alert.worse", "alert.back")
# Two of one cause, one that changes its name, one of one board only, a danger, one without degrees.
# The sentence of each is its own, so that a notice shows of which it speaks.
KINDS = {
    "angles": Finding(
        "foot.drift", "LF", "Slow change", "It falls.", cause="LF:angles", way="falls"
    ),
    "band": Finding(
        "band.outside", "LF:toe_angle:after", "Outside", "It is outside.", cause="LF:angles"
    ),
    "sole": Finding(
        "shape.thin_sole", "RF", "Thin sole", "It is thin.", cause="RF:sole_depth", danger=True
    ),
    "board": Finding("plan.recheck", "item", "Re-check", "It is due."),
    "plain": Finding("test.plain", "x", "Plain", "It is plain."),
}


@dataclass(frozen=True)
class Said:
    """What the model knows of one word, apart from the program."""

    kind: str  # of KINDS
    case: int
    person: int
    role: str
    stand_in: bool
    seen_only: bool
    severity: float | None
    sd: float
    until: date

    @classmethod
    def now(
        cls, access: CaseAccess, kind: str, finding: Finding, until: date, *, seen_only: bool
    ) -> "Said":
        return cls(
            kind=kind,
            case=access.case.pk,
            person=access.person.pk,
            role=access.role,
            stand_in=access.stand_in,
            seen_only=seen_only,
            severity=finding.severity,
            sd=finding.severity_sd,
            until=until,
        )

    @property
    def by(self) -> tuple[str, int, int]:
        return self.kind, self.case, self.person


class Told:
    """By person and kind: what they may have been told. A notice of a cause names what it speaks of, and
    may stand for the others of it."""

    def __init__(self) -> None:
        self.known: dict[tuple[int, str], list[tuple[float | None, float]]] = {}

    def read(self, notice: Notice, kind: str, finding: Finding) -> None:
        """A notice of the kind's cause."""
        today = (finding.severity, finding.severity_sd)
        known = self.known.get((notice.person_id, kind), [])
        if finding.sentence in notice.body:
            self.known[notice.person_id, kind] = [today]
        elif known:  # who knows nothing of it is told nothing: it need not have stirred
            known.append(today)

    def says(self, person: int, kind: str, severity: float | None, sd: float) -> None:
        self.known[person, kind] = [(severity, sd)]

    def forget(self, *, person: int | None = None, kind: str | None = None) -> None:
        """What that person knows, or what is known of that kind; or all."""
        for key in list(self.known):
            if person in (None, key[0]) and kind in (None, key[1]):
                del self.known[key]

    def is_missed(self, person: int, kind: str, finding: Finding) -> bool:
        """Worse than whatever they may have been told."""
        known = self.known.get((person, kind), [])
        today = (finding.severity, finding.severity_sd)
        return bool(known) and all(grew(*today, *then) for then in known)


def grew(now: float | None, sd: float, then: float | None, then_sd: float) -> bool:
    return None not in (now, then) and now - then > 1.96 * math.sqrt(sd * sd + then_sd * then_sd)  # type: ignore[operator]


def cause_of(kind: str) -> str:
    finding = KINDS[kind]
    return finding.cause or f"{finding.rule}:{finding.subject}"


def speaks_for(said: Said, member: Membership) -> bool:
    own = said.person == member.person_id
    if said.case != member.case_id and not own:
        return False
    if said.seen_only:
        return own and member.role == said.role == "carer"
    heard = "owner" if member.role == "carer" else member.role
    return said.role == heard and (own or not said.stand_in)


def default_until(horse: Horse, today: date) -> date:
    """The day that an answer names which was given none."""
    days = [
        v.planned_on
        for v in Visit.objects.filter(horse=horse, status="planned")
        if v.planned_on and today <= v.planned_on <= today + timedelta(days=183)
    ]
    return min(days, default=today + QUIET_FOR)


def alerts_of(finding: Finding) -> list[Alert]:
    rows = Alert.objects.filter(cleared_at=None, rule=finding.rule, subject=finding.subject)
    return list(rows)


def causes_still_unread() -> set[str]:
    """The causes of alerts that are over, and of which somebody has an unread notice."""
    unread = Notice.objects.filter(channel="app", verb__in=TELLS, read_at=None)
    ids = {path.split("/")[-2] for path in unread.values_list("path", flat=True)}
    over = Alert.objects.filter(public_id__in=ids).exclude(cleared_at=None)
    return {alert.matter for alert in over}
