"""Random answers, worsenings, visits, roles and days: whatever happens, what got worse since a role was
told does not stay folded for it, list and board agree for everybody, and of one cause one alert is raised.

In the suite a few hundred steps. The long form, 20,000 steps:

    CASEBOARD_MACHINE_STEPS=20000 uv run pytest tests/horses/test_alert_life_machine.py
"""

import math
import os
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from horses.access import access_get, access_on
from horses.models import Alert, Case, Horse, HorseClock, Membership, Notice, Role, Visit
from horses.queries.alert_quiet import QUIET_FOR
from horses.queries.alerts import BoardAlerts, board_alerts
from horses.queries.herd import herd_for
from horses.rules import engine
from horses.rules.engine import Finding, evaluate
from horses.rules.schedule import answer_moments
from horses.services.alerts import alert_answer, alert_see
from horses.services.horses import horse_set_state
from horses.services.visit_planning import visit_plan
from tests.cast import join, make_cast

STEPS = int(os.environ.get("CASEBOARD_MACHINE_STEPS", "120"))
STEPS_A_RUN = 40
START = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)

people = st.integers(0, 5)
boards = st.integers(0, 1)
# Two of one cause, one that changes its name, one of one board only, a danger, one without degrees.
KINDS = {
    "angles": Finding("foot.drift", "LF", "Slow change", "S.", cause="LF:angles", way="falls"),
    "band": Finding("band.outside", "LF:toe_angle:after", "Outside", "S.", cause="LF:angles"),
    "sole": Finding("shape.thin_sole", "RF", "Thin sole", "S.", cause="RF:sole_depth", danger=True),
    "board": Finding("plan.recheck", "item", "Re-check", "S."),
    "plain": Finding("test.plain", "x", "Plain", "S."),
}
kinds = st.sampled_from(sorted(KINDS))


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


def grew(now: float | None, sd: float, then: float | None, then_sd: float) -> bool:
    return None not in (now, then) and now - then > 1.96 * math.sqrt(sd * sd + then_sd * then_sd)  # type: ignore[operator]


class Life(RuleBasedStateMachine):
    """One horse with two boards; six people who come, go, look and answer."""

    def __init__(self) -> None:
        super().__init__()
        self.before = transaction.savepoint()
        self.now = START
        cast = make_cast(START)
        self.horse, self.cases = cast.horse, [cast.case, cast.concern]
        self.owner = cast.owner
        self.people = [
            cast.owner, cast.vet, cast.farrier, cast.stand_in, cast.carer, cast.stranger,
        ]  # fmt: skip
        self.found: dict[str, Finding] = {}
        self.said: list[Said] = []
        self.told: dict[tuple[int, str], tuple[float | None, float]] = {}  # person, kind
        self.raised: dict[str, dict[int, int]] = {}  # cause -> person -> notices of "raised"
        self.last_notice = 0
        self.ended = False
        engine._rules[:] = [self._rule]

    def _rule(self, horse: Horse, now: datetime) -> Iterator[Finding]:
        yield from self.found.values()

    # -- the program's clock

    def _judge(self) -> None:
        evaluate(self.horse, now=self.now)
        self._read_notices()

    def _read_notices(self) -> None:
        new = Notice.objects.filter(channel="app", pk__gt=self.last_notice).order_by("pk")
        per_cause: set[tuple[int, str]] = set()
        for notice in new:
            self.last_notice = notice.pk
            if notice.verb not in ("alert.raised", "alert.worse", "alert.back"):
                continue
            alert = Alert.objects.get(public_id=notice.path.rstrip("/").rpartition("/")[2])
            assert (notice.person_id, alert.matter) not in per_cause, "told twice at once"
            per_cause.add((notice.person_id, alert.matter))
            for kind, finding in self.found.items():
                if self._cause(kind) == alert.matter:
                    self.told[notice.person_id, kind] = (finding.severity, finding.severity_sd)
            if notice.verb == "alert.raised":
                counts = self.raised.setdefault(alert.matter, {})
                counts[notice.person_id] = counts.get(notice.person_id, 0) + 1
        open_causes = {a.matter for a in Alert.objects.filter(cleared_at=None)}
        self.raised = {cause: c for cause, c in self.raised.items() if cause in open_causes}

    def _cause(self, kind: str) -> str:
        finding = KINDS[kind]
        return finding.cause or f"{finding.rule}:{finding.subject}"

    # -- what happens

    @rule(kind=kinds, severity=st.floats(0, 12), sd=st.floats(0.1, 2))
    def is_found(self, kind: str, severity: float, sd: float) -> None:
        if kind not in self.found:
            self.said = [s for s in self.said if s.kind != kind]
            self.told = {key: t for key, t in self.told.items() if key[1] != kind}
        case = self.cases[0] if kind == "board" else None
        degrees = None if kind == "plain" else severity
        self.found[kind] = replace(KINDS[kind], severity=degrees, severity_sd=sd, case=case)
        self._judge()

    @precondition(lambda self: self.found)
    @rule(kind=kinds, more=st.floats(-1, 5))
    def gets_worse(self, kind: str, more: float) -> None:
        if kind in self.found and (was := self.found[kind].severity) is not None:
            self.found[kind] = replace(self.found[kind], severity=was + more)
            self._judge()

    @rule(kind=kinds)
    def ends(self, kind: str) -> None:
        self.found.pop(kind, None)
        self._judge()

    @precondition(lambda self: "angles" in self.found)
    @rule()
    def goes_by_another_name(self) -> None:
        other = {"foot.drift": "foot.step", "foot.step": "foot.drift"}
        was = self.found["angles"]
        self.found["angles"] = replace(was, rule=other[was.rule])
        self._judge()

    @rule(number=people, board=boards, kind=kinds, days=st.none() | st.integers(0, 60))
    def answers(self, number: int, board: int, kind: str, days: int | None) -> None:
        until = None if days is None else self.now.date() + timedelta(days=days)
        self._says(number, board, kind, until, seen_only=False)

    @rule(number=people, board=boards, kind=kinds)
    def sees(self, number: int, board: int, kind: str) -> None:
        self._says(number, board, kind, None, seen_only=True)

    def _says(
        self, number: int, board: int, kind: str, until: date | None, *, seen_only: bool
    ) -> None:
        person, case = self.people[number], Case.objects.get(pk=self.cases[board].pk)
        access = access_on(person, case)
        here = [k for k in self.found if k != "board" or board == 0]
        if access is None or kind not in here or not self._alert(kind):
            return
        if access.role == Role.CARER and not seen_only:
            return
        self.now += timedelta(minutes=1)
        alert_id = self._alert(kind)[0].public_id
        if seen_only:
            alert_see(access=access, alert_id=alert_id, now=self.now)
        else:
            alert_answer(
                access=access, alert_id=alert_id, words="Yes.", until_on=until, now=self.now
            )
        named = until or self._default_until()
        for one in here:
            if self._cause(one) == self._cause(kind):
                finding = self.found[one]
                self.said.append(
                    Said(one, case.pk, person.pk, access.role, access.stand_in, seen_only,
                         finding.severity, finding.severity_sd, named)
                )  # fmt: skip
                self._knows(self.said[-1])
        self._judge()

    def _alert(self, kind: str) -> list[Alert]:
        finding = self.found[kind]
        rows = Alert.objects.filter(cleared_at=None, rule=finding.rule, subject=finding.subject)
        return list(rows)

    def _knows(self, said: Said) -> None:
        """An answer tells those it speaks for how bad it is."""
        for member in Membership.objects.filter(case=said.case, left_at=None):
            if self._speaks_for(said, member):
                self.told[member.person_id, said.kind] = (said.severity, said.sd)

    def _default_until(self) -> date:
        today = self.now.date()
        days = [
            v.planned_on
            for v in Visit.objects.filter(horse=self.horse, status="planned")
            if v.planned_on and today <= v.planned_on <= today + timedelta(days=183)
        ]
        return min(days, default=today + QUIET_FOR)

    @rule(days=st.integers(1, 45))
    def days_pass(self, days: int) -> None:
        """Nobody saves anything: the sweep looks when the horse is due, and not before."""
        end = self.now + timedelta(days=days)
        while (due := HorseClock.objects.get(horse=self.horse).due_at) and due <= end:
            self.now = max(due.astimezone(UTC), self.now)
            self._judge()
        self.now = end

    @rule(days=st.integers(1, 40))
    def visit_is_planned(self, days: int) -> None:
        horse = Horse.objects.get(pk=self.horse.pk)
        if horse.state == Horse.State.ACTIVE:
            access = access_get(self.owner, self.cases[0].public_id)
            visit_plan(access=access, on=self.now.date() + timedelta(days=days), now=self.now)
            self._judge()

    @rule(state=st.sampled_from(("active", "active", "ended")))
    def care_ends_or_goes_on(self, state: str) -> None:
        access = access_get(self.owner, self.cases[0].public_id)
        self.now += timedelta(minutes=1)
        horse_set_state(access=access, state=state, reason="sold", now=self.now)
        self.ended = state == "ended"
        if self.ended:
            self.said, self.told = [], {}
        self._judge()

    @rule(number=st.integers(1, 5), board=boards)
    def goes(self, number: int, board: int) -> None:
        here = Membership.objects.filter(case=self.cases[board], person=self.people[number])
        here.filter(left_at=None).update(left_at=self.now)

    @rule(number=st.integers(1, 5), board=boards, role=st.sampled_from(tuple(Role)))
    def joins(self, number: int, board: int, role: Role) -> None:
        person, case = self.people[number], self.cases[board]
        if access_on(person, case) is None:
            join(case, person, role, self.now)
            for kind in KINDS:
                self.told.pop((person.pk, kind), None)  # told of nothing in this role

    # -- what must hold

    def _members(self) -> list[Membership]:
        here = Membership.objects.filter(case__horse=self.horse, left_at=None)
        return list(here.select_related("person", "case"))

    def _speaks_for(self, said: Said, member: Membership) -> bool:
        own = said.person == member.person_id
        if said.case != member.case_id and not own:
            return False
        if said.seen_only:
            return own and member.role == said.role == "carer"
        heard = "owner" if member.role == "carer" else member.role
        return said.role == heard and (own or not said.stand_in)

    def _holds(self, said: Said) -> bool:
        now = self.found[said.kind]
        worse = grew(now.severity, now.severity_sd, said.severity, said.sd)
        return said.until >= self.now.date() and not worse

    def _open_for(self, member: Membership) -> set[str]:
        """The kinds that must stand open for this person on this board."""
        if self.ended:
            return set()
        found = set()
        for kind, finding in self.found.items():
            if finding.case is not None and finding.case.pk != member.case_id:
                continue
            holding = [s for s in self.said if s.kind == kind and self._holds(s)]
            quiet = any(self._speaks_for(s, member) for s in holding)
            by_vet = any(s.role == "vet" and not s.seen_only for s in holding)
            if not (quiet and (by_vet or not finding.danger)):
                found.add(kind)
        return found

    @invariant()
    def list_and_board_say_what_must_be_open(self) -> None:
        members = self._members()
        wanted: dict[int, set[str]] = {}
        for member in members:
            causes = {self._cause(kind) for kind in self._open_for(member)}
            wanted.setdefault(member.person_id, set()).update(causes)
            cards = self._board(member).needs
            assert sorted(matter.lead.matter for matter in cards) == sorted(causes)
        for person in {member.person for member in members}:
            [line] = herd_for(person, today=self.now.date())
            assert set(line.matters) == wanted[person.pk]
            assert (line.needs_count > 0) == bool(wanted[person.pk])

    def _board(self, member: Membership) -> BoardAlerts:
        access = access_get(member.person, member.case.public_id)
        return board_alerts(access, today=self.now.date())

    @invariant()
    def what_got_worse_since_they_were_told_is_told_and_unfolded(self) -> None:
        for member in self._members():
            for kind, finding in self.found.items():
                known = self.told.get((member.person_id, kind))
                if known and grew(finding.severity, finding.severity_sd, *known):
                    raise AssertionError(f"{kind}: worse, and nobody told {member.person_id}")

    @invariant()
    def nothing_is_raised_twice_for_one_cause(self) -> None:
        assert all(count == 1 for counts in self.raised.values() for count in counts.values())

    def teardown(self) -> None:
        transaction.savepoint_rollback(self.before)


@pytest.mark.django_db
def test_no_run_of_answers_hides_what_got_worse(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine, "_rules", [])
    monkeypatch.setattr(engine, "_followers", {})
    monkeypatch.setattr(engine, "_dues", [answer_moments])
    monkeypatch.setattr(engine, "AT_LEAST_EVERY", timedelta(days=3650))  # no luck of the week
    run_state_machine_as_test(
        Life,
        settings=settings(
            max_examples=max(1, STEPS // STEPS_A_RUN),
            stateful_step_count=STEPS_A_RUN,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
