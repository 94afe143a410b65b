"""The cache forgets rather than fails, and a process remembers by itself meanwhile."""

from collections.abc import Iterator
from typing import Any

import pytest
from django.core.cache import caches
from django.db import connection
from redis.exceptions import ConnectionError as RedisAway

from caseboard.lib import forgiving_cache
from caseboard.lib.forgiving_cache import ForgivingRedisCache, here
from tests.no_writes import no_writes


@pytest.fixture(autouse=True)
def _nothing_remembered() -> Iterator[None]:
    here().clear()
    ForgivingRedisCache._away_until = 0.0
    yield
    ForgivingRedisCache._away_until = 0.0


@pytest.fixture
def redis(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """A Redis that is away when told so, and counts how often it was asked."""
    state: dict[str, Any] = {"away": False, "asked": 0, "kept": {}}

    def get(_self: Any, key: str, default: Any) -> Any:
        state["asked"] += 1
        if state["away"]:
            raise RedisAway
        return state["kept"].get(key, default)

    def put(_self: Any, key: str, value: Any, _timeout: Any) -> None:
        state["asked"] += 1
        if state["away"]:
            raise RedisAway
        state["kept"][key] = value

    monkeypatch.setattr("django.core.cache.backends.redis.RedisCacheClient.get", get)
    monkeypatch.setattr("django.core.cache.backends.redis.RedisCacheClient.set", put)
    return state


def cache() -> ForgivingRedisCache:
    return ForgivingRedisCache("redis://127.0.0.1:1/0", {})


def test_what_is_kept_is_given_back(redis: dict[str, Any]) -> None:
    cache().set("a", 1)
    assert cache().get("a") == 1
    assert redis["kept"]


def test_while_it_is_away_this_process_remembers(redis: dict[str, Any]) -> None:
    redis["away"] = True
    cache().set("a", 1)
    assert cache().get("a") == 1
    assert cache().get("b", "nothing") == "nothing"


def test_a_page_with_many_questions_waits_once_for_one_that_is_away(redis: dict[str, Any]) -> None:
    redis["away"] = True
    for n in range(50):
        cache().get(f"a{n}")
    assert redis["asked"] == 1


def test_it_is_asked_again_after_a_while(
    redis: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    redis["away"] = True
    cache().get("a")
    redis["away"] = False
    monkeypatch.setattr(forgiving_cache, "AWAY_S", 0)
    ForgivingRedisCache._away_until = 0.0
    cache().set("a", 2)
    assert cache().get("a") == 2


@pytest.mark.django_db
def test_a_database_that_takes_nothing_new_only_forgets() -> None:
    kept = caches["default"]
    kept.set("before", 1)
    kept.set("too old", 1, timeout=-1)
    with no_writes():
        kept.set("a", 2)
        assert kept.get("a") == 2  # by this process
        assert kept.get("before") == 1
        assert kept.get("too old") is None  # a look that would have cleared it away
        kept.delete("before")
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")  # the transaction round it is whole
