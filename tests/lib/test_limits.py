import threading
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import OperationalError, connection
from django.test.utils import CaptureQueriesContext

from caseboard.lib import limits
from caseboard.lib.errors import TooMany
from caseboard.lib.limits import counters_sweep, limit_check, one_of, tries
from horses.models import Counter
from tests.no_writes import no_writes

pytestmark = pytest.mark.django_db


def ask(now: datetime, key: str = "sam@example.org", limit: int = 3, window_s: int = 60) -> bool:
    try:
        limit_check("sign-in", key, limit=limit, window_s=window_s, now=now)
    except TooMany:
        return False
    return True


def test_so_many_pass_and_the_next_does_not(now: datetime) -> None:
    assert [ask(now) for _ in range(4)] == [True, True, True, False]


def test_a_new_window_begins_anew(now: datetime) -> None:
    for _ in range(4):
        ask(now)
    assert ask(now + timedelta(seconds=60))


def test_one_key_does_not_use_up_the_tries_of_another(now: datetime) -> None:
    for _ in range(4):
        ask(now)
    assert ask(now, key="kim@example.org")


def test_one_scope_does_not_use_up_the_tries_of_another(now: datetime) -> None:
    for _ in range(4):
        ask(now)
    limit_check("invite", "sam@example.org", limit=1, window_s=60, now=now)


def test_the_wait_reaches_to_the_end_of_the_window(now: datetime) -> None:
    at = now + timedelta(seconds=45)
    with pytest.raises(TooMany) as caught:
        limit_check("pdf", "k", limit=0, window_s=60, now=at)
    assert caught.value.retry_after_s == 15


def test_a_counter_takes_one_row_whatever_the_windows(now: datetime) -> None:
    for n in range(5):
        ask(now + timedelta(minutes=n))
    assert Counter.objects.count() == 1


def test_what_is_refused_writes_nothing_any_more(now: datetime) -> None:
    for _ in range(3):
        ask(now)
    with CaptureQueriesContext(connection) as found:
        assert not ask(now)
    assert not [q for q in found.captured_queries if "INSERT" in q["sql"] or "UPDATE" in q["sql"]]


def test_no_address_is_readable_in_the_table(now: datetime) -> None:
    ask(now, key="sam@example.org")
    assert "sam" not in str(list(Counter.objects.values_list()))


def test_what_strangers_make_up_takes_no_more_than_its_rows(
    now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(limits, "SLOTS", 50)
    for n in range(500):
        tries("made up", f"p{n}@example.test", most=99, window_s=60, now=now, by_strangers=True)
    assert Counter.objects.count() <= 50


def test_strangers_throw_out_no_counter_of_others(
    now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(limits, "SLOTS", 10)
    for _ in range(3):
        ask(now)
    for n in range(300):
        tries("made up", str(n), most=999, window_s=60, now=now, by_strangers=True)
    assert not ask(now)


def test_many_strangers_at_once_hardly_ever_count_together(now: datetime) -> None:
    """What the number of rows was chosen by: 3,000 others, and 8 of one's own still fit."""
    names = [limits._slot("sign-in", f"{n}") for n in range(3000)]
    assert max(names.count(name) for name in set(names)) < 8


def test_what_is_over_is_swept_and_what_is_not_stays(now: datetime) -> None:
    ask(now, window_s=60)
    ask(now, key="kim@example.org", window_s=86_400)
    assert counters_sweep(now=now + timedelta(minutes=2)) == 1
    assert Counter.objects.count() == 1


def test_a_try_is_let_pass_while_it_cannot_be_counted(now: datetime) -> None:
    with no_writes():
        assert ask(now, limit=1)
        assert ask(now, limit=1)


def test_a_code_is_not_tried_uncounted() -> None:
    with no_writes(), pytest.raises(Exception, match="read"):
        one_of("codes", "one", limit=3, keep_s=60)


def test_a_database_that_does_not_answer_lets_pass(
    now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_: Any) -> int:
        raise OperationalError

    monkeypatch.setattr(limits, "_seen", away)
    assert ask(now, limit=0)


@pytest.mark.django_db(transaction=True)
def test_callers_at_the_same_moment_never_share_a_try(now: datetime) -> None:
    """Each thread has its own database connection, as two processes have."""
    passed: list[bool] = []

    def many() -> None:
        passed.extend(ask(now, limit=20, window_s=3600) for _ in range(10))
        connection.close()

    threads = [threading.Thread(target=many) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (len(passed), sum(passed)) == (40, 20)
