"""A removal or a closing beside a write of the same moment: one waits for the other.

Without a lock a right asked for at the beginning of a write may be gone when it is committed.
"""

import threading
from collections.abc import Callable
from datetime import datetime
from itertools import takewhile
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from horses.access import POLICY, require
from horses.models import Job, Membership, Note
from horses.services.cases import case_close
from horses.services.plan import latest_version, plan_item_decide
from horses.services.team import member_remove
from tests import build
from tests.cast import Cast, make_cast
from tests.copied import copied
from tests.deed import Deed
from tests.deeds import DEEDS
from tests.rights import allowed
from tests.stage import Stage

A_WHILE_S = 0.3  # long enough for a thread that is not held back to be through
pytestmark = pytest.mark.django_db


@pytest.fixture
def real_cast(transactional_db: None, now: datetime) -> Cast:
    made = copied(("cast", now), lambda: make_cast(now))
    Job.objects.all().delete()
    return made


def _one_under_way_while_the_other_tries(
    under_way: Callable[[], Any], other: Callable[[], Any]
) -> Any:
    """Holds the first deed open just before its commit, and starts the other meanwhile.

    Fails when the other is through before that commit; gives what became of it.
    """
    written, go_on, through = threading.Event(), threading.Event(), threading.Event()
    became: list[Any] = []

    def hold() -> None:
        try:
            with transaction.atomic():
                under_way()
                written.set()
                go_on.wait(timeout=20)
        finally:
            connection.close()

    def try_it() -> None:
        try:
            became.append(other())
        except PermissionDenied as refused:
            became.append(refused)
        finally:
            through.set()
            connection.close()

    first, second = threading.Thread(target=hold), threading.Thread(target=try_it)
    first.start()
    assert written.wait(timeout=20)
    second.start()
    overtook = through.wait(A_WHILE_S)
    go_on.set()
    first.join(timeout=20)
    second.join(timeout=20)
    assert not overtook, "the second deed did not wait for the first"
    return became[0]


def _removal(cast: Cast, now: datetime) -> Callable[[], Any]:
    member = Membership.objects.get(case=cast.concern, person=cast.vet, left_at=None)
    owner = cast.access(cast.owner, cast.concern)
    return lambda: member_remove(access=owner, membership_id=member.public_id, now=now)


def test_a_removal_waits_for_what_the_person_is_writing(real_cast: Cast, now: datetime) -> None:
    vet = real_cast.access(real_cast.vet, real_cast.concern)
    gone = _one_under_way_while_the_other_tries(
        lambda: build.note(vet, now), _removal(real_cast, now)
    )
    assert gone.left_at == now
    assert Note.objects.count() == 1


def test_what_is_written_while_a_removal_is_under_way_is_refused(
    real_cast: Cast, now: datetime
) -> None:
    vet = real_cast.access(real_cast.vet, real_cast.concern)
    became = _one_under_way_while_the_other_tries(
        _removal(real_cast, now), lambda: build.note(vet, now)
    )
    assert isinstance(became, PermissionDenied)
    assert not Note.objects.exists()


def test_a_word_given_while_a_removal_is_under_way_does_not_count(
    real_cast: Cast, now: datetime
) -> None:
    vet = real_cast.access(real_cast.vet, real_cast.concern)
    item = build.plan_item(real_cast.access(real_cast.owner, real_cast.concern), now)
    version = latest_version(item)
    became = _one_under_way_while_the_other_tries(
        _removal(real_cast, now),
        lambda: plan_item_decide(
            access=vet,
            item_id=item.public_id,
            seen_hash=version.content_hash,
            decision="agree",
            now=now,
        ),
    )
    assert isinstance(became, PermissionDenied)
    assert version.agreements.count() == 1  # the owner's own


def test_what_is_written_while_a_case_is_being_closed_is_refused(
    real_cast: Cast, now: datetime
) -> None:
    owner, vet = (real_cast.access(w, real_cast.concern) for w in (real_cast.owner, real_cast.vet))
    became = _one_under_way_while_the_other_tries(
        lambda: case_close(access=owner, outcome="met", words="Sound again.", now=now),
        lambda: build.note(vet, now),
    )
    assert isinstance(became, PermissionDenied)
    assert not Note.objects.exists()


def test_closing_waits_for_what_others_are_writing(real_cast: Cast, now: datetime) -> None:
    owner, vet = (real_cast.access(w, real_cast.concern) for w in (real_cast.owner, real_cast.vet))
    closed = _one_under_way_while_the_other_tries(
        lambda: build.note(vet, now),
        lambda: case_close(access=owner, outcome="met", words="Sound again.", now=now),
    )
    assert closed.closed_at == now
    assert Note.objects.count() == 1


@pytest.mark.parametrize("deed", DEEDS, ids=lambda deed: deed.name)
def test_every_deed_locks_the_membership_before_anything_else(
    deed: Deed, stage: Stage, now: datetime
) -> None:
    """In one order, or two deeds could each wait for what the other holds. A yard, where a deed is
    about one too, comes before the memberships, as in a yard's own deeds."""
    if not connection.features.has_select_for_update:
        pytest.skip("SQLite locks the whole database as a transaction begins")
    role = next(r for r in ("owner", "vet", "farrier") if allowed(deed.action, r))
    access = stage.access(role)
    with CaptureQueriesContext(connection) as queries:
        deed(stage, access, now)
    locks = [q["sql"] for q in queries if "FOR NO KEY UPDATE" in q["sql"]]
    of_yards = takewhile(lambda sql: sql.startswith('SELECT "horses_yard"'), locks)
    assert '"horses_membership"' in locks[len(list(of_yards))]


def test_looking_at_a_page_locks_nothing(real_cast: Cast) -> None:
    access = real_cast.access(real_cast.vet)
    with CaptureQueriesContext(connection) as queries:
        for action in POLICY:
            if allowed(action, "vet"):
                require(access, action)
    assert queries.captured_queries
    assert not [q for q in queries if "FOR NO KEY UPDATE" in q["sql"]]
