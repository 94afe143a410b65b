"""Two at the same moment, on a real database with threads: workers, and people on one item.

Everything starts behind one barrier, several times over. Nothing may be lost, doubled or stuck,
and nobody may see a "database is locked" or a deadlock.
"""

from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import partial

import pytest

from caseboard.lib.errors import Conflict
from horses.access import CaseAccess
from horses.jobs import outbox
from horses.jobs.outbox import claim, enqueue, jobs_run_due
from horses.ledger.verify import broken_lines
from horses.models import (
    Agreement,
    Alert,
    Flag,
    HistoryLine,
    Horse,
    Job,
    Notice,
    PlanItem,
    Trim,
    Visit,
)
from horses.rules import engine
from horses.rules.engine import Finding, evaluate
from horses.services.horses import horse_edit
from horses.services.plan import (
    latest_version,
    plan_item_decide,
    plan_item_propose,
    plan_item_revise,
)
from horses.services.visit_planning import visit_plan
from measurements.services.readings import readings_record
from tests import build
from tests.at_once import Deed, at_once
from tests.cast import Cast, make_cast
from tests.copied import copied

pytestmark = pytest.mark.django_db(transaction=True)
ROUNDS = 6


@pytest.fixture
def cast(transactional_db: None, now: datetime) -> Cast:
    made = copied(("cast", now), lambda: make_cast(now))
    Job.objects.all().delete()
    return made


def _agree(access: CaseAccess, item: PlanItem, seen: str, now: datetime) -> Deed:
    return lambda: plan_item_decide(
        access=access, item_id=item.public_id, seen_hash=seen, decision="agree", now=now
    )


def _decline(access: CaseAccess, item: PlanItem, seen: str, now: datetime) -> Deed:
    return lambda: plan_item_decide(
        access=access,
        item_id=item.public_id,
        seen_hash=seen,
        decision="decline",
        reason="Not yet.",
        now=now,
    )


def _revise(access: CaseAccess, item: PlanItem, text: str, now: datetime) -> Deed:
    return lambda: plan_item_revise(
        access=access,
        item_id=item.public_id,
        seen_version=1,
        content=build.content(text),
        now=now,
    )


# -- workers


def test_of_two_workers_exactly_one_takes_each_piece(cast: Cast, now: datetime) -> None:
    for number in range(ROUNDS):
        enqueue("test.kind", str(number), now=now)
        first, second = at_once(lambda: claim(now=now), lambda: claim(now=now))
        assert (first is None) is not (second is None)
        Job.objects.all().delete()


def test_two_workers_do_everything_once(
    cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[str] = []
    monkeypatch.setitem(outbox._handlers, "test.kind", lambda key, at: done.append(key))
    keys = [f"{number:02}" for number in range(30)]
    for key in keys:
        enqueue("test.kind", key, now=now)
    taken = at_once(*[lambda: jobs_run_due(now=now) for _ in range(3)])
    assert sorted(done) == keys
    assert sum(taken) == len(keys)
    assert not Job.objects.exists()


def test_work_wanted_from_several_sides_at_once_is_one_row(cast: Cast, now: datetime) -> None:
    for number in range(ROUNDS):
        at_once(*[lambda n=number: enqueue("test.kind", str(n), now=now) for _ in range(3)])
    assert list(Job.objects.values_list("wanted", flat=True)) == [3] * ROUNDS


def test_two_workers_judging_one_horse_raise_a_finding_once(
    cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    def rule(horse: Horse, at: datetime) -> Iterator[Finding]:
        yield Finding("test.rule", "LF", "A title", "A sentence.")

    monkeypatch.setattr(engine, "_rules", [rule])
    at_once(*[lambda: evaluate(cast.horse, now=now) for _ in range(3)])
    assert Alert.objects.count() == 1
    assert Notice.objects.filter(verb="alert.raised", channel="app").count() == 5


# -- people


def test_three_agreeing_at_the_same_moment_are_three_words_and_one_agreement(
    cast: Cast, now: datetime
) -> None:
    accesses = [cast.access(who) for who in (cast.farrier, cast.stand_in, cast.vet)]
    for _ in range(ROUNDS):
        item = build.plan_item(cast.access(cast.owner), now)
        seen = latest_version(item).content_hash
        at_once(*[_agree(access, item, seen, now) for access in accesses])
        assert Agreement.objects.filter(version__item=item).count() == 4
        told = HistoryLine.objects.filter(verb="plan.item.agreed_by_all", subject=item.public_id)
        assert told.count() == 1
    assert list(broken_lines(cast.case)) == []


def test_an_edit_beside_an_agreement_never_carries_the_word_over(cast: Cast, now: datetime) -> None:
    owner, vet = cast.access(cast.owner), cast.access(cast.vet)
    for _ in range(ROUNDS):
        item = build.plan_item(cast.access(cast.farrier), now)
        seen = latest_version(item).content_hash
        at_once(_agree(vet, item, seen, now), _revise(owner, item, "Other words.", now))
        newest = latest_version(item)
        assert newest.number == 2
        assert list(newest.agreements.values_list("person", flat=True)) == [cast.owner.pk]
        words = Agreement.objects.filter(version__item=item, person=cast.vet)
        assert all(word.content_hash == seen for word in words)


def test_of_two_edits_at_the_same_moment_one_wins_and_the_other_is_shown_both(
    cast: Cast, now: datetime
) -> None:
    owner, farrier = cast.access(cast.owner), cast.access(cast.farrier)
    for _ in range(ROUNDS):
        item = build.plan_item(cast.access(cast.vet), now)
        results = at_once(
            _revise(owner, item, "The owner's.", now), _revise(farrier, item, "The farrier's.", now)
        )
        [lost] = [result for result in results if isinstance(result, Conflict)]
        assert {lost.mine["text"], lost.theirs["text"]} == {"The owner's.", "The farrier's."}
        assert latest_version(item).text == lost.theirs["text"]


def test_a_no_at_the_same_moment_as_the_last_yes_is_not_lost(cast: Cast, now: datetime) -> None:
    farrier, stand_in = cast.access(cast.farrier), cast.access(cast.stand_in)
    for _ in range(ROUNDS):
        item = build.plan_item(cast.access(cast.vet), now)
        seen = latest_version(item).content_hash
        _agree(cast.access(cast.owner), item, seen, now)()
        at_once(_agree(farrier, item, seen, now), _decline(stand_in, item, seen, now))
        decisions = Agreement.objects.filter(version__item=item, role="farrier")
        assert set(decisions.values_list("decision", flat=True)) == {"agree", "decline"}


def test_the_same_word_sent_twice_at_once_is_one_word(cast: Cast, now: datetime) -> None:
    vet = cast.access(cast.vet)
    for _ in range(ROUNDS):
        item = build.plan_item(cast.access(cast.owner), now)
        seen = latest_version(item).content_hash
        at_once(*[_agree(vet, item, seen, now) for _ in range(3)])
        assert Agreement.objects.filter(version__item=item, person=cast.vet).count() == 1


def test_the_same_form_sent_three_times_at_once_is_one_item(cast: Cast, now: datetime) -> None:
    owner = cast.access(cast.owner)
    for number in range(ROUNDS):
        send = lambda n=number: plan_item_propose(  # noqa: E731
            access=owner, content=build.content(), client_key=f"form {n}", now=now
        )
        assert len({item.pk for item in at_once(send, send, send)}) == 1
    assert PlanItem.objects.count() == ROUNDS


def test_items_proposed_at_the_same_moment_get_numbers_of_their_own(
    cast: Cast, now: datetime
) -> None:
    accesses = [cast.access(who) for who in (cast.owner, cast.vet, cast.farrier)]
    at_once(*[lambda s=s: build.plan_item(s, now) for s in accesses])
    assert set(PlanItem.objects.values_list("number", flat=True)) == {1, 2, 3}


def test_of_two_editors_of_the_horse_one_wins(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.owner)
    for number in range(ROUNDS):
        edits = [
            lambda yard=yard, n=number: horse_edit(
                access=access, version=n + 1, fields={"yard": f"{yard} {n}"}, now=now
            )
            for yard in ("Upper", "Lower")
        ]
        results = at_once(*edits)
        assert sum(isinstance(result, Conflict) for result in results) == 1


def test_a_visit_planned_by_two_at_once_is_one_visit(cast: Cast, now: datetime) -> None:
    days = (now.date() + timedelta(days=n) for n in (3, 5))
    pairs = zip((cast.owner, cast.farrier), days, strict=True)
    at_once(
        *[lambda w=w, on=on: visit_plan(access=cast.access(w), on=on, now=now) for w, on in pairs]
    )
    assert Visit.objects.filter(status="planned").count() == 1


def test_writing_up_planning_measuring_and_judging_at_once_stops_nobody(
    cast: Cast, now: datetime
) -> None:
    """What locks the horse, the case and the visit, in every order people come by it."""
    farrier, vet, owner = (cast.access(w) for w in (cast.farrier, cast.vet, cast.owner))
    there = cast.access(cast.vet, cast.concern)
    feet = ("RH", "LF", "LH", "RF")
    for number in range(ROUNDS):
        on = now.date() - timedelta(days=number)
        at_once(
            partial(build.visit, farrier, now, on, next_on=now.date() + timedelta(days=40)),
            lambda: visit_plan(access=owner, on=now.date() + timedelta(days=9), now=now),
            partial(
                readings_record,
                access=vet,
                taken_on=on,
                now=now,
                readings=[build.taken(foot, "toe_angle", 50) for foot in feet],
            ),
            partial(
                readings_record,
                access=there,
                taken_on=on,
                now=now,
                readings=[build.taken(foot, "toe_angle", 51) for foot in reversed(feet)],
            ),
            lambda: evaluate(cast.horse, now=now + timedelta(days=400)),
            lambda: build.flag(owner, now),
        )
    assert Trim.objects.count() == 4 * ROUNDS
    assert Visit.objects.filter(status="kept").count() == ROUNDS
    assert Flag.objects.count() == ROUNDS
    for case in (cast.case, cast.concern):
        assert list(broken_lines(case)) == []
