import threading
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.conf import settings
from django.core.cache import cache
from django.db import connection
from django.utils import timezone

from caseboard.lib.answers import TooMany
from caseboard.lib.limits import limit_check

BACKENDS = {
    "database": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "shared_cache",
    },
    "memory": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache", "LOCATION": "limits"},
}


@pytest.fixture(params=BACKENDS)
def _each_cache(request: pytest.FixtureRequest, settings: object) -> None:
    settings.CACHES = {"default": BACKENDS[request.param]}  # type: ignore[attr-defined]
    cache.clear()


def ask(now: datetime, key: str = "sam@example.org", limit: int = 3, window_s: int = 60) -> bool:
    try:
        limit_check("sign-in", key, limit=limit, window_s=window_s, now=now)
    except TooMany:
        return False
    return True


@pytest.mark.django_db
@pytest.mark.usefixtures("_each_cache")
class TestEachCache:
    def test_so_many_pass_and_the_next_does_not(self, now: datetime) -> None:
        assert [ask(now) for _ in range(4)] == [True, True, True, False]

    def test_a_new_window_begins_anew(self, now: datetime) -> None:
        for _ in range(4):
            ask(now)
        assert ask(now + timedelta(seconds=60))

    def test_one_key_does_not_use_up_the_tries_of_another(self, now: datetime) -> None:
        for _ in range(4):
            ask(now)
        assert ask(now, key="kim@example.org")

    def test_one_scope_does_not_use_up_the_tries_of_another(self, now: datetime) -> None:
        for _ in range(4):
            ask(now)
        limit_check("invite", "sam@example.org", limit=1, window_s=60, now=now)

    def test_the_wait_reaches_to_the_end_of_the_window(self, now: datetime) -> None:
        at = now + timedelta(seconds=45)
        with pytest.raises(TooMany) as caught:
            limit_check("pdf", "k", limit=0, window_s=60, now=at)
        assert caught.value.retry_after_s == 15


@pytest.mark.django_db
def test_a_long_window_is_not_cut_short_by_the_caches_own_expiry(now: datetime) -> None:
    """The database cache's own `incr` would let the counter end after five minutes."""
    for _ in range(2):
        ask(now, limit=9, window_s=86_400)
    with connection.cursor() as cursor:
        cursor.execute("SELECT expires FROM shared_cache WHERE cache_key LIKE '%%limit:%%'")
        (expires,) = cursor.fetchone()
    if isinstance(expires, str):
        expires = datetime.fromisoformat(expires)
    assert expires.replace(tzinfo=timezone.get_current_timezone()) > timezone.now() + timedelta(
        minutes=10
    )


@pytest.mark.django_db
def test_no_address_is_readable_in_the_cache(now: datetime) -> None:
    ask(now, key="sam@example.org")
    with connection.cursor() as cursor:
        cursor.execute("SELECT cache_key, value FROM shared_cache")
        assert "sam@" not in str(cursor.fetchall())


@pytest.mark.django_db(transaction=True)
def test_callers_at_the_same_moment_never_share_a_try(now: datetime) -> None:
    """Each thread has its own database connection, as two processes have."""
    passed: list[bool] = []

    def tries() -> None:
        passed.extend(ask(now, limit=20, window_s=3600) for _ in range(10))
        connection.close()

    threads = [threading.Thread(target=tries) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (len(passed), sum(passed)) == (40, 20)


def test_the_installation_keeps_enough_counters_that_none_is_thrown_out_early() -> None:
    default: Any = settings.CACHES["default"]
    assert settings.REDIS_URL or default["OPTIONS"]["MAX_ENTRIES"] >= 100_000
