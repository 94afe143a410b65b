"""Saves a reader's session if possible; with a sent form, saving the session must succeed."""

from collections.abc import Iterator

from django.contrib.sessions.exceptions import SessionInterrupted
from django.contrib.sessions.middleware import SessionMiddleware
from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse

from caseboard.http.not_saved import is_refused_write, not_saved_page
from caseboard.lib.logging.fields import logger

log = logger("caseboard.sessions")
LOOKING = ("GET", "HEAD", "OPTIONS")


class ForgivingSessionMiddleware(SessionMiddleware):
    def process_response(self, request: HttpRequest, response: HttpResponse) -> HttpResponse:
        try:
            return super().process_response(request, response)
        except (DatabaseError, SessionInterrupted) as error:
            # The library takes a refused write for a session that was ended meanwhile.
            if not any(is_refused_write(cause) for cause in _causes(error)):
                raise
            log.warning("session.not_saved", error=type(error).__name__)
            return response if request.method in LOOKING else not_saved_page(request, error)


def _causes(error: BaseException | None) -> Iterator[BaseException]:
    while error is not None:
        yield error
        error = error.__context__
