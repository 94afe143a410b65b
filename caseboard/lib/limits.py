"""Limits on how often something may be asked for, shared by all processes of the installation.

A fixed window: so many in each stretch of `window_s` seconds, counted in the default cache. Ask
before the work and outside a transaction of one's own: a rolled back transaction would take the
count with it.

While the cache is away, `limit_check` lets pass: what people write down must not wait for a counter.
`one_of` does not: without its counter, codes could be guessed.
"""

import hashlib
import math
from datetime import datetime

from django.core.cache import caches
from django.core.cache.backends.base import BaseCache
from django.core.cache.backends.db import DatabaseCache
from django.db import connection, transaction
from redis.exceptions import RedisError

from caseboard.lib.answers import TooMany
from caseboard.lib.logs import logger

log = logger("caseboard.limits")


def limit_check(
    scope: str, key: str, *, limit: int, window_s: int, now: datetime, what: str = ""
) -> None:
    """Counts one try of `key` (a person, an address) at `scope`; raises TooMany beyond `limit`."""
    moment_s = now.timestamp()
    window = math.floor(moment_s / window_s)
    left_s = math.ceil((window + 1) * window_s - moment_s)
    # Hashed: keys hold addresses, and the cache may sit on another machine.
    digest = hashlib.sha256(f"{scope}\n{key}".encode()).hexdigest()
    name = f"limit:{digest}:{window_s}:{window}"
    try:
        count = _count(caches["default"], name, keep_s=left_s + 60)
    except RedisError as error:
        log.error("limits.not_counted", scope=scope, why=type(error).__name__)
        return
    if count > limit:
        raise TooMany(left_s, what=what)


def one_of(scope: str, key: str, *, limit: int, keep_s: int) -> bool:
    """Whether this is one of the first `limit` tries of `key`, whenever they come within `keep_s`.

    For a thing that ends by itself before `keep_s` are over, such as a code: no window begins anew
    in the middle of its life.
    """
    digest = hashlib.sha256(f"{scope}\n{key}".encode()).hexdigest()
    return _count(caches["default"], f"one-of:{digest}", keep_s=keep_s) <= limit


def _count(cache: BaseCache, name: str, *, keep_s: int) -> int:
    """Adds one to the counter and gives its value; no two callers get the same one."""
    if isinstance(cache, DatabaseCache):
        return _count_in_table(cache, name, keep_s)
    while not cache.add(name, 1, timeout=keep_s):
        try:
            return int(cache.incr(name))
        except ValueError:  # it ran out between the two calls: begin anew
            continue
    return 1


def _count_in_table(cache: BaseCache, name: str, keep_s: int) -> int:
    """The database cache reads and writes in two steps, so the two are put under one lock.

    SQLite: our transactions take the write lock as they begin. PostgreSQL: a lock named after the
    counter. (Its `incr` would also replace the counter's end of life by the cache's default.)
    """
    with transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_xact_lock(hashtextextended(%s, 0))", [name])
        value = int(cache.get(name, 0)) + 1
        cache.set(name, value, timeout=keep_s)
    return value
