"""A shared cache that forgets instead of failing: everything in it can be computed again.

Redis may be away or full, the database may take nothing new. What would have been kept is then kept
in this process, so that a sheet drawn twice is worked out once. Nothing that must be counted stands
in the cache (see `limits.py`).
"""

import time
from collections.abc import Callable
from typing import Any

from django.core.cache.backends.base import DEFAULT_TIMEOUT, BaseCache
from django.core.cache.backends.db import DatabaseCache
from django.core.cache.backends.locmem import LocMemCache
from django.core.cache.backends.redis import RedisCache
from django.db import DatabaseError, transaction
from redis.exceptions import OutOfMemoryError, RedisError

from caseboard.lib.logging.fields import logger

log = logger("caseboard.cache")
AWAY_S = 5  # house default: a page with many questions waits once for a cache that does not answer
KEPT_HERE = 2_000  # entries; house default: the limits of a few hundred feet
MISSING = object()


class ForgivingRedisCache(RedisCache):
    _away_until = 0.0  # shared by the threads of a process

    def get(self, key: Any, default: Any = None, version: Any = None) -> Any:
        found = self._ask(
            "get", lambda: super(ForgivingRedisCache, self).get(key, MISSING, version)
        )
        if found is MISSING or found is None:
            return here().get(key, default, version)
        return found

    def set(
        self, key: Any, value: Any, timeout: Any = DEFAULT_TIMEOUT, version: Any = None
    ) -> None:
        def there() -> bool:
            super(ForgivingRedisCache, self).set(key, value, timeout, version)
            return True

        if not self._ask("set", there):
            here().set(key, value, timeout, version)

    def delete(self, key: Any, version: Any = None) -> bool:
        here().delete(key, version)
        return bool(
            self._ask("delete", lambda: super(ForgivingRedisCache, self).delete(key, version))
        )

    def _ask(self, what: str, ask: Callable[[], Any]) -> Any:
        """The answer, or None while the cache is away; it is asked again after a while."""
        if time.monotonic() < ForgivingRedisCache._away_until:
            return None
        try:
            return ask()
        except (RedisError, OSError) as error:
            ForgivingRedisCache._away_until = time.monotonic() + AWAY_S
            log.warning("cache.away", what=what, error=type(error).__name__)
            return None

    def trouble(self, token: str) -> str:
        """What is wrong, asked of Redis itself; empty when it keeps and gives back."""
        try:
            super().set("readyz", token, 30)
            return "" if super().get("readyz") == token else "forgets"
        except OutOfMemoryError:  # its client has taken the word OOM off the server's sentence
            return "is full"
        except (RedisError, OSError):
            return "does not answer"


class ForgivingDatabaseCache(DatabaseCache):
    def get(self, key: Any, default: Any = None, version: Any = None) -> Any:
        try:
            found = super().get(key, MISSING, version)
        except DatabaseError as error:
            log.warning("cache.away", what="get", error=type(error).__name__)
            found = MISSING
        return here().get(key, default, version) if found is MISSING else found

    def set(
        self, key: Any, value: Any, timeout: Any = DEFAULT_TIMEOUT, version: Any = None
    ) -> None:
        made = self.make_and_validate_key(key, version=version)
        if not self._base_set("set", made, value, timeout):
            here().set(key, value, timeout, version)

    def delete(self, key: Any, version: Any = None) -> bool:
        here().delete(key, version)
        return super().delete(key, version)

    def _base_set(self, mode: str, key: Any, value: Any, timeout: Any = DEFAULT_TIMEOUT) -> bool:
        return self._tried(
            lambda: super(ForgivingDatabaseCache, self)._base_set(  # type: ignore[misc]
                mode, key, value, timeout
            )
        )

    def _base_delete_many(self, keys: Any) -> bool:
        """Also called by a read that finds an expired entry."""
        if not keys:
            return False
        return self._tried(
            lambda: super(ForgivingDatabaseCache, self)._base_delete_many(keys)  # type: ignore[misc]
        )

    def _tried(self, write: Callable[[], Any]) -> bool:
        """Whether it was written. A refusal does not roll back the transaction round it."""
        try:
            with transaction.atomic():
                return bool(write())
        except DatabaseError as error:
            log.warning("cache.away", what="write", error=type(error).__name__)
            return False

    def trouble(self, token: str) -> str:
        made = self.make_and_validate_key("readyz")
        if not self._base_set("set", made, token, 30):
            return "takes nothing new"
        return "" if super().get("readyz") == token else "forgets"


def here() -> BaseCache:
    """This process's own entries, used while the shared cache is away."""
    return _here


_here = LocMemCache("away", {"OPTIONS": {"MAX_ENTRIES": KEPT_HERE}})
