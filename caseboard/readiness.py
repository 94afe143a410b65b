"""Whether the installation works as a whole: what its watchers are told."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.core.cache import cache
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor

from caseboard.lib.logs import logger
from horses.heartbeat import ALIVE, last_beat
from horses.work import work_oldest_due, work_set_aside

log = logger("caseboard.ready")
# Above this the workers do not keep up, or mail does not go out. House default.
OLDEST_UNSENT = timedelta(minutes=5)


@dataclass(frozen=True)
class Part:
    name: str
    ok: bool
    says: str


def readiness(*, now: datetime) -> list[Part]:
    """Each part by itself: one that fails does not hide the others."""
    return [_asked(name, ask, now) for name, ask in PARTS.items()]


def _asked(name: str, ask: Callable[[datetime], str], now: datetime) -> Part:
    try:
        trouble = ask(now)
    except Exception as error:
        log.warning("ready.failed", part=name, error=type(error).__name__)
        trouble = "does not answer"
    return Part(name, not trouble, trouble or "ok")


def _database(_now: datetime) -> str:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return ""


def _migrations(_now: datetime) -> str:
    try:
        executor = MigrationExecutor(connection)
    except DatabaseError:
        return "does not answer"
    waiting = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return f"{len(waiting)} not applied" if waiting else ""


def _cache(now: datetime) -> str:
    cache.set("readyz", now.isoformat(), 30)
    return "" if cache.get("readyz") == now.isoformat() else "forgets"


def _worker(now: datetime) -> str:
    last = last_beat("worker")
    if last is None:
        return "never seen"
    silent = now - last
    return "" if silent <= ALIVE else f"silent for {silent.total_seconds():.0f} s"


def _unsent(now: datetime) -> str:
    since = work_oldest_due(now=now)
    if since is None or now - since <= OLDEST_UNSENT:
        return ""
    return f"waits for {(now - since).total_seconds():.0f} s"


def _set_aside(_now: datetime) -> str:
    count = work_set_aside().count()
    return f"{count} given up: see `manage.py outbox`" if count else ""


PARTS: dict[str, Callable[[datetime], str]] = {
    "database": _database,
    "migrations": _migrations,
    "cache": _cache,
    "worker": _worker,
    "oldest_unsent": _unsent,
    "set_aside": _set_aside,
}
