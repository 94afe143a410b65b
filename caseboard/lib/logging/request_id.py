"""One id for everything that one click caused: in the logs, in the history, on the error page."""

import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

import structlog

_current: ContextVar[str] = ContextVar("request_id", default="")


def request_id() -> str:
    """The id of the request (or piece of work) being handled; empty outside of one."""
    return _current.get()


def new_request_id() -> str:
    """Always our own: an id that the browser sends could be made to look like another's."""
    return secrets.token_hex(8)


@contextmanager
def log_bound(**fields: str) -> Iterator[None]:
    """Log lines inside carry these fields: ids of ours, never what somebody wrote."""
    with structlog.contextvars.bound_contextvars(**fields):
        yield


def log_add(**fields: str) -> None:
    """Sets fields inside an outer `log_bound` of the same names, which removes them at its end."""
    structlog.contextvars.bind_contextvars(**fields)


@contextmanager
def request_id_bound(value: str) -> Iterator[None]:
    """Everything inside, log lines included, carries `value`."""
    token = _current.set(value)
    try:
        with structlog.contextvars.bound_contextvars(request_id=value):
            yield
    finally:
        _current.reset(token)
