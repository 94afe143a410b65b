"""A fresh code: whether it is still the same person at this browser, asked before a careful deed.

What is kept is in the session alone: when the person last showed who they are, and a fingerprint
of the code that was mailed. So a code serves only the browser that asked for it.
"""

import hashlib
import hmac
import secrets
from datetime import datetime, timedelta
from enum import Enum
from typing import Any

from django.utils.dateparse import parse_datetime

from caseboard.lib.limits import one_of

FRESH_FOR = timedelta(minutes=10)  # house default: a few deeds in a row, not an afternoon
CODE_LIVES = timedelta(minutes=5)
MAX_TRIES = 3
CODE_LETTERS = "BCDFGHJKLMNPQRSTVWXZ"  # no vowels: no code reads as a word
CODE_LENGTH = 8  # 20^8, about 35 bits against 3 tries

STAMP, CODE = "fresh_at", "fresh_code"


class Tried(Enum):
    RIGHT = "right"
    WRONG = "That is not the code. Look at the newest mail, and type it once more."
    USED_UP = "That code is used up: it was typed wrongly three times. Send yourself another one."
    TOO_OLD = "That code is too old. Send yourself another one."


def fresh_stamp(session: Any, now: datetime) -> None:
    session[STAMP] = now.isoformat()


def is_fresh(session: Any, now: datetime) -> bool:
    at = parse_datetime(session.get(STAMP, ""))
    return at is not None and timedelta() <= now - at < FRESH_FOR


def code_new(session: Any, purpose: str, now: datetime) -> str:
    """A new code for this browser and purpose; one asked for before opens nothing any more."""
    code = "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))
    salt = secrets.token_hex(8)
    session[f"{CODE}_{purpose}"] = {
        "salt": salt,
        "hash": _hash(salt, code),
        "at": now.isoformat(),
    }
    return f"{code[:4]}-{code[4:]}"


def code_note(session: Any, purpose: str, **more: str) -> None:
    """Keeps more with the code that was asked for last."""
    session[f"{CODE}_{purpose}"] = {**code_asked(session, purpose), **more}


def code_asked(session: Any, purpose: str) -> dict[str, str]:
    """What was kept with the code, empty when none was asked for."""
    return dict(session.get(f"{CODE}_{purpose}", {}))


def code_try(session: Any, purpose: str, typed: str, now: datetime) -> Tried:
    """Tries the code once. A right one is used up by it."""
    kept = code_asked(session, purpose)
    at = parse_datetime(kept.get("at", ""))
    if at is None or not timedelta() <= now - at < CODE_LIVES:
        return Tried.TOO_OLD
    # Counted where all processes see it: tries sent at the same moment count one by one.
    if not one_of("code tries", kept["salt"], limit=MAX_TRIES, keep_s=2 * CODE_LIVES.seconds):
        return Tried.USED_UP
    letters = "".join(c for c in typed.upper() if c.isalnum())
    if not hmac.compare_digest(_hash(kept["salt"], letters), kept["hash"]):
        return Tried.WRONG
    code_forget(session, purpose)
    return Tried.RIGHT


def code_forget(session: Any, purpose: str) -> None:
    session.pop(f"{CODE}_{purpose}", None)


def _hash(salt: str, code: str) -> str:
    return hashlib.sha256(f"{salt}\n{code}".encode()).hexdigest()
