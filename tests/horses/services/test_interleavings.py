"""Two editors of one row, and one form sent three times: nothing overwritten, nothing doubled.

In the suite a short form. The long one, 1,000 interleavings and 500 writes:

    CASEBOARD_INTERLEAVINGS=1000 CASEBOARD_REPEATED_WRITES=500 \
        uv run pytest tests/horses/services/test_interleavings.py
"""

import os
import random
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from typing import Any

import pytest

from caseboard.lib.errors import Conflict
from horses.accounts.services.people import person_edit
from horses.ledger.verify import broken_lines
from horses.models import Flag, Horse, Job, Note, Person, PlanItem, Visit
from horses.services.horses import horse_edit, horse_set_state
from horses.services.idempotency import KeyReused
from horses.services.plan import latest_version, plan_item_revise
from horses.services.plan_end import plan_item_finish
from horses.services.visit_planning import visit_cancel, visit_plan
from measurements.models import Reading
from measurements.services.readings import readings_record
from tests import build
from tests.at_once import at_once
from tests.cast import Cast, make_cast
from tests.copied import copied

INTERLEAVINGS = int(os.environ.get("CASEBOARD_INTERLEAVINGS", "30"))
REPEATED_WRITES = int(os.environ.get("CASEBOARD_REPEATED_WRITES", "12"))
pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def cast(transactional_db: None, now: datetime) -> Cast:
    made = copied(("cast", now), lambda: make_cast(now))
    Job.objects.all().delete()
    return made


# -- two editors


@dataclass(frozen=True)
class Row:
    """One kind of row that people edit: how it is read, and how each editor saves it."""

    read: Callable[[], tuple[int, Any]]  # its version, and what it says
    save: Callable[[str, int, int], Any]  # who, the version seen, a number nobody else uses
    says: Callable[[int], Any]  # what it says once that was saved


# Its number, the version and words that were seen, and the conflict when it lost.
Edit = tuple[int, int, Any, Conflict | None]


def _horse(cast: Cast, now: datetime) -> Row:
    def read() -> tuple[int, Any]:
        horse = Horse.objects.get(pk=cast.horse.pk)
        return horse.version, horse.yard

    return Row(
        read,
        lambda who, seen, n: horse_edit(
            access=cast.access(cast.owner), version=seen, fields={"yard": f"Yard {n}"}, now=now
        ),
        lambda n: f"Yard {n}",
    )


def _care(cast: Cast, now: datetime) -> Row:
    def read() -> tuple[int, Any]:
        horse = Horse.objects.get(pk=cast.horse.pk)
        return horse.version, horse.state_reason

    return Row(
        read,
        lambda who, seen, n: horse_set_state(
            access=cast.access(cast.owner),
            version=seen,
            now=now,
            state="active" if n % 3 else "paused",
            reason=f"Reason {n}",
        ),
        lambda n: f"Reason {n}",
    )


def _visit(cast: Cast, now: datetime) -> Row:
    """Moved by one, moved or cancelled by the other."""
    first = visit_plan(access=cast.access(cast.farrier), on=now.date() + timedelta(days=1), now=now)

    def read() -> tuple[int, Any]:
        visit = Visit.objects.filter(horse=cast.horse).order_by("-version")[0]
        planned = visit.status == Visit.Status.PLANNED
        return visit.version if planned else 0, visit.status_reason

    def save(who: str, seen: int, n: int) -> Any:
        access = cast.access(cast.everyone[who])
        if n % 4 == 0 and seen:
            visit = Visit.objects.filter(horse=cast.horse).order_by("-version")[0]
            return visit_cancel(
                access=access,
                public_id=visit.public_id,
                reason=f"Reason {n}",
                version=seen,
                now=now,
            )
        on = now.date() + timedelta(days=2 + n % 300)
        return visit_plan(access=access, on=on, words=f"Reason {n}", version=seen, now=now)

    assert first.version
    return Row(read, save, lambda n: f"Reason {n}")


def _item(cast: Cast, now: datetime) -> Row:
    item = build.plan_item(cast.access(cast.vet), now)

    def read() -> tuple[int, Any]:
        version = latest_version(item)
        return version.number, version.text

    return Row(
        read,
        lambda who, seen, n: plan_item_revise(
            access=cast.access(cast.everyone[who]),
            item_id=item.public_id,
            seen_version=seen,
            content=build.content(f"Words {n}."),
            now=now,
        ),
        lambda n: f"Words {n}.",
    )


def _person(cast: Cast, now: datetime) -> Row:
    def read() -> tuple[int, Any]:
        person = Person.objects.get(pk=cast.vet.pk)
        return person.version, person.name

    return Row(
        read,
        lambda who, seen, n: person_edit(
            person=cast.vet, fields={"name": f"Vera {n}"}, version=seen
        ),
        lambda n: f"Vera {n}",
    )


ROWS = {"horse": _horse, "care": _care, "visit": _visit, "plan item": _item, "person": _person}


def _edits(
    row: Row, who: str, numbers: list[int], gate: threading.Barrier, dice: random.Random
) -> list[Edit]:
    """One editor: reads, sometimes waits until the other has read too, saves; what became of it."""
    became: list[Edit] = []
    for n in numbers:
        together = dice.random() < 0.7
        gate.wait(timeout=60)
        seen, words = row.read()
        if together:  # both dice are the same: both wait here, or neither does
            gate.wait(timeout=60)
        try:
            row.save(who, seen, n)
        except Conflict as conflict:
            became.append((n, seen, words, conflict))
        else:
            became.append((n, seen, words, None))
    return became


@pytest.mark.parametrize("kind", ROWS)
def test_of_two_editors_nobody_overwrites_what_they_have_not_seen(
    kind: str, cast: Cast, now: datetime
) -> None:
    rounds = max(2, INTERLEAVINGS // len(ROWS))
    row = ROWS[kind](cast, now)
    gate = threading.Barrier(2)
    numbers = list(range(1, 2 * rounds + 1))
    before = row.read()[1]
    first, second = at_once(
        lambda: _edits(row, "owner", numbers[::2], gate, random.Random(1)),
        lambda: _edits(row, "farrier", numbers[1::2], gate, random.Random(1)),
        timeout_s=60 + rounds,
    )
    edits = [*first, *second]
    # Every saved edit was made on what the one before it had left: one chain, nothing cut off it.
    saved = {words: n for n, _, words, lost in edits if lost is None}
    chain, words = 0, before
    while words in saved:
        words = row.says(saved[words])
        chain += 1
    wins = [n for n, _, _, lost in edits if lost is None]
    assert chain == len(wins)
    assert words == row.read()[1]
    assert len(wins) >= rounds
    for n, _, _, lost in edits:
        if lost is not None:  # both texts, and the loser's is not what stands
            assert str(n) in " ".join(str(v) for v in lost.mine.values())
            assert row.says(n) not in saved
    assert list(broken_lines(cast.case)) == []


def test_of_two_who_end_an_item_the_second_is_told(cast: Cast, now: datetime) -> None:
    for _ in range(max(3, INTERLEAVINGS // 20)):
        item = build.plan_item(cast.access(cast.farrier), now, who_does="owner")
        end = partial(plan_item_finish, item_id=item.public_id, seen_version=1, now=now)
        results = at_once(
            partial(end, access=cast.access(cast.owner), status="done", reason="By the owner"),
            partial(
                end,
                access=cast.access(cast.farrier),
                status="withdrawn",
                reason="By the farrier",
            ),
        )
        [lost] = [result for result in results if isinstance(result, Conflict)]
        stands = PlanItem.objects.get(pk=item.pk)
        assert lost.theirs["reason"] == stands.status_reason != lost.mine["reason"]


# -- one form sent three times


def _note(cast: Cast, now: datetime, key: str, n: int, twist: str = "") -> Any:
    from horses.services.notes import note_write

    return note_write(
        access=cast.access(cast.vet),
        body=f"Note {n}{twist}",
        audience=build.TEAM,
        client_key=key,
        now=now,
    )


def _flag(cast: Cast, now: datetime, key: str, n: int, twist: str = "") -> Any:
    return build.flag(cast.access(cast.owner), now, words=f"Flag {n}{twist}", client_key=key)


def _proposed(cast: Cast, now: datetime, key: str, n: int, twist: str = "") -> Any:
    from horses.services.plan import plan_item_propose

    return plan_item_propose(
        access=cast.access(cast.owner),
        content=build.content(f"Item {n}{twist}."),
        client_key=key,
        now=now,
    )


def _measured(cast: Cast, now: datetime, key: str, n: int, twist: str = "") -> Any:
    return readings_record(
        access=cast.access(cast.farrier),
        taken_on=now.date(),
        client_key=key,
        now=now,
        readings=[build.taken("LF", "toe_angle", 40 + n % 20 + (0.5 if twist else 0))],
    )[0]


WRITES = (_note, _flag, _proposed, _measured)


def test_writes_sent_three_times_at_once_are_so_many_rows(cast: Cast, now: datetime) -> None:
    models = (Note, Flag, PlanItem, Reading)
    for n in range(REPEATED_WRITES):
        write = WRITES[n % len(WRITES)]
        send = partial(write, cast, now, f"form {n}", n)
        assert len({row.pk for row in at_once(send, send, send)}) == 1
    assert sum(model.objects.count() for model in models) == REPEATED_WRITES
    assert list(broken_lines(cast.case)) == []


def test_a_used_key_with_other_words_is_refused_and_changes_nothing(
    cast: Cast, now: datetime
) -> None:
    models = (Note, Flag, PlanItem, Reading)
    for n in range(REPEATED_WRITES):
        write = WRITES[n % len(WRITES)]
        write(cast, now, f"form {n}", n)
        with pytest.raises(KeyReused):
            write(cast, now, f"form {n}", n, " otherwise")
    assert sum(model.objects.count() for model in models) == REPEATED_WRITES
