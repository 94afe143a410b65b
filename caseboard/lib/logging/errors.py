"""An error in the log: its kind, the way to it through the code, and its words only where they are
the program's own.

The words of an error may quote what a person typed: a number that was none, a key that was not
found, a field with the text it was given. So they are kept for the kinds below, which speak of the
code, the machine and the database, and of these only the first line: databases quote the row or the
statement in the others.
"""

import smtplib
import sys
import traceback
from collections.abc import Iterator
from typing import Any

from django.core.exceptions import ImproperlyConfigured
from django.db import IntegrityError, InterfaceError, OperationalError, ProgrammingError
from django.template import TemplateDoesNotExist, TemplateSyntaxError
from structlog.typing import EventDict, ExcInfo, WrappedLogger

NOT_LOGGED = "(not logged)"
# Not TypeError: a field of Django's names the value that it could not take.
OWN_WORDS: tuple[type[BaseException], ...] = (
    AttributeError,
    ImportError,
    ImproperlyConfigured,
    IntegrityError,
    InterfaceError,
    MemoryError,
    NameError,
    NotImplementedError,
    OperationalError,
    OSError,
    ProgrammingError,
    RecursionError,
    TemplateDoesNotExist,
    TemplateSyntaxError,
)
# A mail server's answer quotes the address or the message (and is a kind of OSError).
QUOTING: tuple[type[BaseException], ...] = (smtplib.SMTPException,)


def error_words(error: BaseException) -> str:
    """What may be logged of an error's own words."""
    if isinstance(error, QUOTING) or not isinstance(error, OWN_WORDS):
        return NOT_LOGGED
    return (str(error).splitlines() or [""])[0]


def error_told(exc_info: ExcInfo) -> str:
    """The error with its way through the code, after those that it came of."""
    return "".join(_told(exc_info[1], set())).rstrip("\n")


def _told(error: BaseException, seen: set[int]) -> Iterator[str]:
    seen.add(id(error))
    before = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
    if before is not None and id(before) not in seen:
        yield from _told(before, seen)
        yield f"\n{'Which led to:' if error.__cause__ else 'And while this was seen to:'}\n\n"
    yield "Traceback (most recent call last):\n"
    yield from traceback.format_tb(error.__traceback__)
    yield f"{type(error).__qualname__}: {error_words(error)}\n"
    if isinstance(error, BaseExceptionGroup):
        for one in error.exceptions:
            if id(one) not in seen:
                yield f"\nOne of {len(error.exceptions)}:\n\n"
                yield from _told(one, seen)


def drop_error_words(_logger: WrappedLogger, _method: str, event: EventDict) -> EventDict:
    """Takes the words of a logged error out of the line itself, where a library repeats them."""
    error = _error_of(event.get("exc_info"))
    if error is not None and error_words(error) == NOT_LOGGED:
        for words in (repr(error), str(error)):
            if words and isinstance(text := event.get("event"), str):
                event["event"] = text.replace(words, NOT_LOGGED)
    return event


def _error_of(info: Any) -> BaseException | None:
    if isinstance(info, BaseException):
        return info
    if isinstance(info, tuple):
        found: BaseException | None = info[1]
        return found
    return sys.exc_info()[1] if info else None
