"""Readiness: whether the installation as a whole works, for monitoring."""

import shutil
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.core.cache import caches
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor

from caseboard.lib.forgiving_cache import ForgivingDatabaseCache, ForgivingRedisCache
from caseboard.lib.limits import tries
from caseboard.lib.logging.fields import logger
from horses.jobs.heartbeat import ALIVE, last_beat
from horses.jobs.outbox import jobs_failed, mail_waiting, oldest_due
from horses.jobs.watch import BACKUP, PHOTOS, watch_read

log = logger("caseboard.ready")
# Above this the workers do not keep up, or mail does not go out. House default.
OLDEST_UNSENT = timedelta(minutes=5)
# A clock may wait for a worker that is busy. House default.
CLOCK_ALIVE = timedelta(minutes=5)
LEAST_FREE_MB = 200  # house default: some days of a yard, time enough to make room


@dataclass(frozen=True)
class Part:
    name: str
    ok: bool
    says: str


def readiness(*, now: datetime) -> list[Part]:
    """Checks each part by itself, so that one that fails does not hide the others."""
    return [_asked(name, ask, now) for name, ask in PARTS.items()]


_kept: tuple[float, list[Part]] | None = None
_asking = threading.Lock()


def readiness_kept(*, now: datetime) -> list[Part]:
    """What was found in the last seconds: whoever asks more often costs nothing. One at a time."""
    global _kept
    with _asking:
        if _kept is None or time.monotonic() - _kept[0] >= settings.READY_KEPT_S:
            _kept = (time.monotonic(), readiness(now=now))
        return _kept[1]


class Well(str):
    """Words that mark no trouble."""


def _asked(name: str, ask: Callable[[datetime], str], now: datetime) -> Part:
    try:
        trouble = ask(now)
        if isinstance(trouble, Well):
            return Part(name, True, f"ok: {trouble}")
    except Exception as error:
        log.warning("ready.failed", part=name, error=type(error).__name__)
        trouble = "does not answer"
    return Part(name, not trouble, trouble or "ok")


def _database(now: datetime) -> str:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    # A counter of its own, in one row: whether something new can be written, for good.
    written = tries("readyz", "", most=10**6, window_s=60, now=now)
    return "" if written else "takes nothing new: full or read-only"


def _disk(_now: datetime) -> str:
    free_mb = shutil.disk_usage(settings.STATE_DIR).free // 10**6
    return "" if free_mb >= LEAST_FREE_MB else f"{free_mb} MB left"


def _migrations(_now: datetime) -> str:
    try:
        executor = MigrationExecutor(connection)
    except DatabaseError:
        return "does not answer"
    waiting = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return f"{len(waiting)} not applied" if waiting else ""


def _cache(now: datetime) -> str:
    cache = caches["default"]
    if isinstance(cache, (ForgivingRedisCache, ForgivingDatabaseCache)):
        return cache.trouble(now.isoformat())
    cache.set("readyz", now.isoformat(), 30)
    return "" if cache.get("readyz") == now.isoformat() else "forgets"


def _worker(now: datetime) -> str:
    return _silent("worker", ALIVE, now)


def _clock(now: datetime) -> str:
    return _silent("clock", CLOCK_ALIVE, now)


def _silent(kind: str, alive: timedelta, now: datetime) -> str:
    last = last_beat(kind)
    if last is None:
        return "never seen"
    silent = now - last
    return "" if silent <= alive else f"silent for {silent.total_seconds():.0f} s"


def _unsent(now: datetime) -> str:
    since = oldest_due(now=now)
    if since is None or now - since <= OLDEST_UNSENT:
        return ""
    return f"waits for {(now - since).total_seconds():.0f} s"


def _mail(_now: datetime) -> str:
    """Mail that was tried and did not go, with what the mail server said last."""
    count, said = mail_waiting()
    return f"{count} tried and not sent yet: {said}" if count else ""


def _set_aside(_now: datetime) -> str:
    count = jobs_failed().count()
    return f"{count} given up: see `manage.py outbox`" if count else ""


def _photos(_now: datetime) -> str:
    """As the last nightly look (or backup, or `verify_history`) found them. No names: this page is
    open to all."""
    last = watch_read(PHOTOS)
    return last.trouble if last else ""


def _backup(now: datetime) -> str:
    """Only where backups were ever made, or a setting asks for them."""
    last = watch_read(BACKUP)
    if last is None:
        return "none was ever made" if settings.BACKUP_EXPECTED else ""
    if last.trouble:
        return last.trouble
    if last.well_at is None:
        return "none was whole"
    age = now - last.well_at
    words = f"the last whole one is {age.total_seconds() / 3600:.0f} h old"
    return words if age > timedelta(days=settings.BACKUP_MOST_DAYS) else Well(words)


PARTS: dict[str, Callable[[datetime], str]] = {
    "database": _database,
    "disk": _disk,
    "migrations": _migrations,
    "cache": _cache,
    "worker": _worker,
    "clock": _clock,
    "mail": _mail,
    "oldest_unsent": _unsent,
    "set_aside": _set_aside,
    "photos": _photos,
    "backup": _backup,
}
