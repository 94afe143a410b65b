"""Limits on how often something may be asked for, shared by all processes of the installation.

A fixed window: so many in each stretch of `window_s` seconds. The counters stand in a table of their
own (`horses.Counter`), not in the cache: they work while Redis is away, nothing else is thrown out
for them and they for nothing. One row a counter, used again in the next window. What strangers can
make up (addresses, machines) shares a fixed number of rows.

Ask before the work and outside a transaction of one's own: a rolled back transaction would take the
count with it. While the database takes nothing new, `limit_check` lets pass: looking at a sheet must
not wait for a counter. `one_of` does not: without its counter, codes could be guessed.

Decided 2026-11: counters stand in a table. The road not taken: the cache, where counters and cached
results threw each other out, and where an absent Redis was a 500.
"""

import hashlib
import hmac
import math
from datetime import datetime

from django.conf import settings
from django.db import DatabaseError, connection, transaction

from caseboard.lib import clock
from caseboard.lib.errors import TooMany
from caseboard.lib.logging.fields import logger

log = logger("caseboard.limits")
# Rows a scope for what strangers make up. Two names that meet in one row count together: with 3,000
# tries at once, 8 of others meet one's own row less than once in a million. House default.
SLOTS = 16_384
COUNT_ONE = """
    INSERT INTO horses_counter (name, count, until_s) VALUES (%s, 1, %s)
    ON CONFLICT (name) DO UPDATE SET
        count = CASE WHEN horses_counter.until_s <= %s THEN 1 ELSE horses_counter.count + 1 END,
        until_s = CASE WHEN horses_counter.until_s <= %s THEN excluded.until_s
                       ELSE horses_counter.until_s END
    RETURNING count
"""


def limit_check(
    scope: str,
    key: str,
    *,
    limit: int,
    window_s: int,
    now: datetime,
    what: str = "",
    by_strangers: bool = False,
) -> None:
    """Counts one try of `key` (a person, an address) at `scope`; raises TooMany beyond `limit`.

    `by_strangers`: the key is not one of ours, so that there may be any number of them.
    """
    until_s = _window_end_s(now, window_s)
    left_s = math.ceil(until_s - now.timestamp())
    count = tries(scope, key, most=limit, window_s=window_s, now=now, by_strangers=by_strangers)
    if count > limit:
        raise TooMany(left_s, what=what)


def tries(
    scope: str, key: str, *, most: int, window_s: int, now: datetime, by_strangers: bool = False
) -> int:
    """Counts one try and returns its number within its window; 0 when it cannot be counted.

    Beyond `most` nothing is written any more: a flood that is refused costs a look, no write.
    """
    name = _slot(scope, key) if by_strangers else _name(scope, key)
    moment_s = math.floor(now.timestamp())
    try:
        with transaction.atomic() if connection.in_atomic_block else _NoBlock():
            seen = _seen(name, moment_s)
        return seen + 1 if seen >= most else _count(name, moment_s, _window_end_s(now, window_s))
    except DatabaseError as error:
        log.error("limits.not_counted", scope=scope, why=type(error).__name__)
        return 0


def one_of(scope: str, key: str, *, limit: int, keep_s: int) -> bool:
    """Whether this is one of the first `limit` tries of `key`, whenever they come within `keep_s`.

    For a thing that ends by itself before `keep_s` are over, such as a code: no window begins anew
    in the middle of its life. Raises DatabaseError when it cannot be counted.
    """
    moment_s = math.floor(clock.now().timestamp())
    return _count(_name(scope, key), moment_s, moment_s + keep_s) <= limit


def counters_sweep(*, now: datetime) -> int:
    """Deletes the counters whose window is over; returns how many."""
    over = [math.floor(now.timestamp())]
    with connection.cursor() as cursor:
        # Asked first: on SQLite a delete waits for whoever writes.
        cursor.execute("SELECT 1 FROM horses_counter WHERE until_s <= %s LIMIT 1", over)
        if cursor.fetchone() is None:
            return 0
        cursor.execute("DELETE FROM horses_counter WHERE until_s <= %s", over)
        return int(cursor.rowcount)


class _NoBlock:
    """Looking needs no transaction; on SQLite one would wait for whoever writes."""

    def __enter__(self) -> None: ...

    def __exit__(self, *_: object) -> None: ...


def _seen(name: str, moment_s: int) -> int:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count FROM horses_counter WHERE name = %s AND until_s > %s", [name, moment_s]
        )
        row = cursor.fetchone()
    return row[0] if row else 0


def _count(name: str, moment_s: int, until_s: int) -> int:
    """Adds one and gives the value, in one statement: no two callers get the same one."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(COUNT_ONE, [name, until_s, moment_s, moment_s])
        (value,) = cursor.fetchone()
    return int(value)


def _window_end_s(now: datetime, window_s: int) -> int:
    return (math.floor(now.timestamp() / window_s) + 1) * window_s


def _name(scope: str, key: str) -> str:
    return _digest(f"{scope}\n{key}").hex()


def _slot(scope: str, key: str) -> str:
    slot = int.from_bytes(_digest(f"{scope}\n{key}")[:8], "big") % SLOTS
    return f"{_digest(scope).hex()[:16]} {slot}"


def _digest(text: str) -> bytes:
    """Keyed: nobody can work out who shares a row with whom, or read addresses from the table."""
    content = text.encode("utf-8", "surrogatepass")
    return hmac.new(settings.SECRET_KEY.encode(), content, hashlib.sha256).digest()
