"""When what is being saved was written, for what a phone kept while it had no line.

The phone says how long it kept it, not at what time: a clock that is wrong by hours is wrong by the
same hours at both ends. The server's clock does the rest. `written_at` is for saying so beside the
entry and for words like "today"; the time of an entry itself stays the moment it was saved.

Decided 2026-11-29: an age that cannot be (negative, or longer than a phone keeps) counts as unknown,
and then nothing is said: a history that says nothing is better than one that says what is not so.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime, timedelta

# Below this it is the time of sending, as far as people care. House default.
AT_ONCE = timedelta(minutes=2)
# House default: somebody may be away for a month with a phone that is off.
LONGEST = timedelta(days=60)

# Under this name a line of history says it, in what came after.
WRITTEN = "written_in_phone"

_written: ContextVar[datetime | None] = ContextVar("written_at", default=None)


def written_at() -> datetime | None:
    """The moment, aware; None for what was sent as it was written, or when nobody can tell."""
    return _written.get()


def written_or(now: datetime) -> datetime:
    """The moment from which "today" and "yesterday" in what was typed are counted."""
    return _written.get() or now


def written_before(age_s: str, *, now: datetime) -> datetime | None:
    """The moment `age_s` seconds before `now`, from a header that anybody may have written."""
    if not (age_s.isascii() and age_s.isdigit() and len(age_s) <= len("9999999")):
        return None
    age = timedelta(seconds=int(age_s))
    return now - age if AT_ONCE <= age <= LONGEST else None


@contextmanager
def written_bound(at: datetime | None) -> Iterator[None]:
    """Everything inside is saved as written `at` that moment."""
    token = _written.set(at)
    try:
        yield
    finally:
        _written.reset(token)
