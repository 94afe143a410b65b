"""Log lines as fields: JSON in production, readable on a console otherwise.

What people wrote never reaches a log. Fields with such names are dropped here as a second net, and
so are the words of errors that may quote them (errors.py).
"""

from typing import Any

import structlog
from django.conf import settings
from structlog.typing import EventDict, Processor, WrappedLogger

from caseboard.lib.logging.errors import drop_error_words, error_told

# Names of fields that hold what a person wrote, or that open a door.
PRIVATE_FIELDS = frozenset(
    {
        "body",
        "code",
        "email",
        "mine",
        "note",
        "phone",
        "subject",
        "text",
        "theirs",
        "token",
        "words",
    }
)


def drop_private(_logger: WrappedLogger, _method: str, event: EventDict) -> EventDict:
    for name in PRIVATE_FIELDS & event.keys():
        event[name] = "(not logged)"
    return event


def address_as_route(_logger: WrappedLogger, _method: str, event: EventDict) -> EventDict:
    """A page that fails is named by its pattern: the address itself may be somebody's way in."""
    request = getattr(event.get("_record"), "request", None)
    match = getattr(request, "resolver_match", None)
    if request is not None and match is not None and isinstance(text := event.get("event"), str):
        event["event"] = text.replace(request.path, f"/{match.route}")
    return event


def processors(*, as_json: bool) -> list[Processor]:
    """The steps from a log call, ours or a library's, to one line of text."""
    render: Processor = (
        structlog.processors.JSONRenderer()
        if as_json
        else structlog.dev.ConsoleRenderer(
            colors=False, exception_formatter=structlog.dev.plain_traceback
        )
    )
    return [
        structlog.contextvars.merge_contextvars,
        structlog.stdlib.add_log_level,
        structlog.stdlib.add_logger_name,
        structlog.processors.TimeStamper(fmt="iso", utc=True),
        address_as_route,
        drop_error_words,
        structlog.processors.ExceptionRenderer(error_told),
        drop_private,
        structlog.stdlib.ProcessorFormatter.remove_processors_meta,
        render,
    ]


PROCESSORS = processors(as_json=settings.PRODUCTION)

structlog.configure(
    processors=[
        structlog.stdlib.filter_by_level,
        structlog.stdlib.PositionalArgumentsFormatter(),
        structlog.stdlib.ProcessorFormatter.wrap_for_formatter,
    ],
    logger_factory=structlog.stdlib.LoggerFactory(),
    wrapper_class=structlog.stdlib.BoundLogger,
    cache_logger_on_first_use=True,
)


def logger(name: str) -> Any:
    """A logger whose calls take fields: `log.info("work.done", kind="mail", count=3)`."""
    return structlog.stdlib.get_logger(name)
