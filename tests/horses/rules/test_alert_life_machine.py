"""Random answers, worsenings, visits, roles and days: whatever happens, what got worse since a role was
told does not stay folded for it, list and board agree for everybody, and of one cause one alert is raised.

In the suite a few hundred steps. The long form, 20,000 steps:

    CASEBOARD_MACHINE_STEPS=20000 uv run pytest tests/horses/rules/test_alert_life_machine.py
"""

import os
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import transaction
from django.db.models import Q
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from horses.access import access_get, access_on
from horses.models import Alert, Case, Horse, HorseClock, Membership, Notice, Role
from horses.models.alert import matter_name
from horses.queries.alert_quiet import alert_pairs
from horses.queries.alerts import board_alerts
from horses.queries.herd import herd_for
from horses.rules import engine
from horses.rules.engine import Finding, evaluate
from horses.rules.schedule import answer_moments
from horses.services.alerts import alert_answer, alert_see
from horses.services.horses import horse_set_state
from horses.services.visit_planning import visit_plan
from tests.cast import join, make_cast
from tests.copied import copied
from tests.horses.rules import alert_life_model as model
from tests.horses.rules.alert_life_model import KINDS, Said, Told, cause_of, grew, speaks_for

STEPS = int(os.environ.get("CASEBOARD_MACHINE_STEPS", "120"))
STEPS_A_RUN = 40 if STEPS <= 1000 else 100
# The long form shows what it finds as it is: to shrink it takes longer than all the steps.
PHASES = [phase for phase in Phase if STEPS <= 1000 or phase is not Phase.shrink]
ALL_EVERY, ONE_EVERY = STEPS_A_RUN // 2, 10  # steps
START = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)

people = st.integers(0, 5)
boards = st.integers(0, 1)
kinds = st.sampled_from(sorted(KINDS))


class Life(RuleBasedStateMachine):
    """One horse with two boards; six people who come, go, look and answer."""

    def __init__(self) -> None:
        super().__init__()
        self.before = transaction.savepoint()
        self.now = START
        cast = copied(("cast", START), lambda: make_cast(START))
        self.horse, self.cases = cast.horse, [cast.case, cast.concern]
        self.owner = cast.owner
        mine = (cast.owner, cast.vet, cast.farrier)
        self.people = [*mine, cast.stand_in, cast.carer, cast.stranger]
        self.found: dict[str, Finding] = {}
        self.said: list[Said] = []
        self.told = Told()
        self.raised: dict[str, dict[int, int]] = {}  # cause -> person -> notices of "raised"
        self.last_notice = 0
        self.ended = False
        self.step, self.touched = 0, set[tuple[int, int]]()
        engine._rules[:] = [self._rule]

    def _rule(self, horse: Horse, now: datetime) -> Iterator[Finding]:
        yield from self.found.values()

    # -- the program's clock

    def _judge(self) -> None:
        self.now += timedelta(seconds=1)  # two looks at one instant would be one event
        evaluate(self.horse, now=self.now)
        self._read_notices()

    def _read_notices(self) -> None:
        new = Notice.objects.filter(channel="app", pk__gt=self.last_notice).order_by("pk")
        per_cause: set[tuple[int, str]] = set()
        for notice in new:
            self.last_notice = notice.pk
            if notice.verb not in model.TELLS:
                continue
            alert = Alert.objects.get(public_id=notice.path.rstrip("/").rpartition("/")[2])
            assert (notice.person_id, alert.matter) not in per_cause, "told twice at once"
            per_cause.add((notice.person_id, alert.matter))
            for kind, finding in self.found.items():
                if cause_of(kind) == alert.matter:
                    self.told.read(notice, kind, finding)
            if notice.verb == "alert.raised":
                counts = self.raised.setdefault(alert.matter, {})
                counts[notice.person_id] = counts.get(notice.person_id, 0) + 1
        open_causes = {a.matter for a in Alert.objects.filter(cleared_at=None)}
        self.raised = {cause: c for cause, c in self.raised.items() if cause in open_causes}
        assert model.causes_still_unread() <= open_causes, "over, and still unread"

    # -- what happens

    @initialize(some=st.sets(kinds, min_size=1), severity=st.floats(0, 12))
    def begins(self, some: set[str], severity: float) -> None:
        for kind in sorted(some):
            self._find(kind, severity, 0.5)
        self._judge()

    @rule(kind=kinds, severity=st.floats(0, 12), sd=st.floats(0.1, 2))
    def is_found(self, kind: str, severity: float, sd: float) -> None:
        self._find(kind, severity, sd)
        self._judge()

    def _find(self, kind: str, severity: float, sd: float) -> None:
        if kind not in self.found:
            self.said = [s for s in self.said if s.kind != kind]
            self.told.forget(kind=kind)
        case = self.cases[0] if kind == "board" else None
        degrees = None if kind == "plain" else severity
        self.found[kind] = replace(KINDS[kind], severity=degrees, severity_sd=sd, case=case)

    @precondition(lambda self: self.found)
    @rule(kind=kinds, more=st.floats(-1, 5))
    def gets_worse(self, kind: str, more: float) -> None:
        if kind in self.found and (was := self.found[kind].severity) is not None:
            self.found[kind] = replace(self.found[kind], severity=was + more)
            self._judge()

    @precondition(lambda self: self.found)
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

    @precondition(lambda self: self.found)
    @rule(number=people, board=boards, kind=kinds, days=st.none() | st.integers(0, 60))
    def answers(self, number: int, board: int, kind: str, days: int | None) -> None:
        until = None if days is None else self.now.date() + timedelta(days=days)
        self._says(number, board, kind, until, seen_only=False)

    @precondition(lambda self: self.found)
    @rule(number=people, board=boards, kind=kinds)
    def sees(self, number: int, board: int, kind: str) -> None:
        self._says(number, board, kind, None, seen_only=True)

    def _says(
        self, number: int, board: int, kind: str, until: date | None, *, seen_only: bool
    ) -> None:
        person, case = self.people[number], Case.objects.get(pk=self.cases[board].pk)
        access = access_on(person, case)
        here = [k for k in self.found if k != "board" or board == 0]
        if access is None or kind not in here or not model.alerts_of(self.found[kind]):
            return
        if access.role == Role.CARER and not seen_only:
            return
        self.touched.add((person.pk, case.pk))
        self.now += timedelta(minutes=1)
        alert_id = model.alerts_of(self.found[kind])[0].public_id
        if seen_only:
            alert_see(access=access, alert_id=alert_id, now=self.now)
        else:
            alert_answer(
                access=access, alert_id=alert_id, words="Yes.", until_on=until, now=self.now
            )
        named = until or model.default_until(self.horse, self.now.date())
        for one in here:
            if cause_of(one) == cause_of(kind):
                finding = self.found[one]
                mine = [s for s in self.said if s.seen_only and s.by == (one, case.pk, person.pk)]
                if seen_only and any(self._holds(s) for s in mine):
                    continue
                self.said.append(Said.now(access, one, finding, named, seen_only=seen_only))
                self._knows(self.said[-1])
        self._judge()

    def _knows(self, said: Said) -> None:
        """An answer tells those it speaks for how bad it is."""
        for member in Membership.objects.filter(case=said.case, left_at=None):
            if speaks_for(said, member):
                self.told.says(member.person_id, said.kind, said.severity, said.sd)

    @rule(days=st.integers(1, 45))
    def days_pass(self, days: int) -> None:
        """Nobody saves anything: the sweep looks when the horse is due, and not before."""
        end = self.now + timedelta(days=days)
        while (due := HorseClock.objects.get(horse=self.horse).due_at) and due <= end:
            self.now = max(due.astimezone(UTC), self.now)
            self._judge()
        self.now = max(end, self.now)

    @rule(days=st.integers(1, 40))
    def visit_is_planned(self, days: int) -> None:
        horse = Horse.objects.get(pk=self.horse.pk)
        if horse.state == Horse.State.ACTIVE:
            access = access_get(self.owner, self.cases[0].public_id)
            visit_plan(access=access, on=self.now.date() + timedelta(days=days), now=self.now)
            self._judge()

    @precondition(lambda self: self.found and not self.ended)
    @rule()
    def care_ends(self) -> None:
        self._set_state("ended")
        self.said = []
        self.told.forget()
        self._judge()

    @precondition(lambda self: self.ended)
    @rule()
    def care_goes_on(self) -> None:
        self._set_state("active")
        self._judge()

    def _set_state(self, state: str) -> None:
        access = access_get(self.owner, self.cases[0].public_id)
        self.now += timedelta(minutes=1)
        horse_set_state(access=access, state=state, reason="sold", now=self.now)
        self.ended = state == "ended"

    @rule(number=st.integers(1, 5), board=boards)
    def goes(self, number: int, board: int) -> None:
        here = Membership.objects.filter(case=self.cases[board], person=self.people[number])
        if here.filter(left_at=None).update(left_at=self.now):
            self.touched.add((self.people[number].pk, self.cases[board].pk))

    @rule(number=st.integers(1, 5), board=boards, role=st.sampled_from(tuple(Role)))
    def joins(self, number: int, board: int, role: Role) -> None:
        person, case = self.people[number], self.cases[board]
        if access_on(person, case) is None:
            self.touched.add((person.pk, case.pk))
            join(case, person, role, self.now)
            self.told.forget(person=person.pk)  # told of nothing in this role

    # -- what must hold

    def _members(self) -> list[Membership]:
        here = Membership.objects.filter(case__horse=self.horse, left_at=None)
        return list(here.select_related("person", "case"))

    def _holds(self, said: Said) -> bool:
        return said.until >= self.now.date() and not self._worse(said)

    def _worse(self, said: Said) -> bool:
        now = self.found[said.kind]
        return grew(now.severity, now.severity_sd, said.severity, said.sd)

    def _found_on(self, board: Case) -> list[tuple[str, Finding]]:
        return [(k, f) for k, f in self.found.items() if f.case is None or f.case == board]

    def _open_for(self, member: Membership) -> set[str]:
        """The kinds that must stand open for this person on this board."""
        if self.ended:
            return set()
        found = set()
        for kind, finding in self._found_on(member.case):
            said = [s for s in self.said if s.kind == kind]
            heard = [s for s in said if speaks_for(s, member)]
            worse = [n for n, s in enumerate(heard, 1) if self._worse(s)]
            quiet = any(self._holds(s) for s in heard[max(worse, default=0) :])
            by_vet = any(s.role == "vet" and not s.seen_only for s in said if self._holds(s))
            if not (quiet and (by_vet or not finding.danger)):
                found.add(kind)
        return found

    @invariant()
    def it_stands_open_for_whom_it_must(self) -> None:
        """Each step, for everybody, with the one question that list, board and notices ask."""
        self.step += 1
        members = self._members()
        pairs = alert_pairs(Q(horse=self.horse), today=self.now.date()).filter(quiet=False)
        asked = pairs.values_list("member", "cause", "rule", "subject")
        found = {(member, matter_name(*names)) for member, *names in asked}
        wanted = {m.pk: {cause_of(kind) for kind in self._open_for(m)} for m in members}
        assert found == {(pk, cause) for pk, causes in wanted.items() for cause in causes}
        self._pages_say(members, wanted)

    def _pages_say(self, members: list[Membership], wanted: dict[int, set[str]]) -> None:
        """List and board as their pages read them: of whoever acted, of one more in turn now and
        then, and of everybody twice in a run."""
        looked_at: set[int] = set()
        if self.step % ALL_EVERY == 0:
            looked_at = {m.pk for m in members}
        elif self.step % ONE_EVERY == 0:
            looked_at = {members[self.step // ONE_EVERY % len(members)].pk}
        looked_at |= {m.pk for m in members if (m.person_id, m.case_id) in self.touched}
        self.touched = set()
        for member in members:
            if member.pk in looked_at:
                access = access_get(member.person, member.case.public_id)
                cards = board_alerts(access, today=self.now.date()).needs
                assert sorted(card.lead.matter for card in cards) == sorted(wanted[member.pk])
        for person in {member.person for member in members if member.pk in looked_at}:
            [line] = herd_for(person, today=self.now.date())
            mine = {c for m in members if m.person_id == person.pk for c in wanted[m.pk]}
            assert set(line.matters) == mine
            assert (line.needs_count > 0) == bool(mine)

    @invariant()
    def what_got_worse_since_they_were_told_is_told_and_unfolded(self) -> None:
        for member in self._members():
            for kind, finding in self._found_on(member.case):
                if self.told.is_missed(member.person_id, kind, finding):
                    raise AssertionError(f"{kind}: worse, and nobody told {member.person_id}")

    @invariant()
    def nothing_is_raised_twice_for_one_cause(self) -> None:
        assert all(count == 1 for counts in self.raised.values() for count in counts.values())

    def teardown(self) -> None:
        transaction.savepoint_rollback(self.before)


def only_life(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the horse's rules find is what happened to a `Life`, and nothing is due but answers."""
    monkeypatch.setattr(engine, "_rules", [])
    monkeypatch.setattr(engine, "_followers", {})
    monkeypatch.setattr(engine, "_dues", [answer_moments])
    monkeypatch.setattr(engine, "AT_LEAST_EVERY", timedelta(days=3650))  # no luck of the week


@pytest.mark.django_db
def test_no_run_of_answers_hides_what_got_worse(monkeypatch: pytest.MonkeyPatch) -> None:
    only_life(monkeypatch)
    run_state_machine_as_test(
        Life,
        settings=settings(
            max_examples=max(1, STEPS // STEPS_A_RUN),
            stateful_step_count=STEPS_A_RUN,
            deadline=None,
            suppress_health_check=list(HealthCheck),
            phases=PHASES,
        ),
    )
