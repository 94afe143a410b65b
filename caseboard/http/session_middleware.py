"""Saves a reader's session if possible; with a sent form, saving the session must succeed."""

from collections.abc import Iterator

from django.conf import settings
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
        has_ended = request.session.modified
        try:
            answer = super().process_response(request, response)
            return answer if has_ended else _without_end(answer)
        except (DatabaseError, SessionInterrupted) as error:
            # The library takes a refused write for a session that was ended meanwhile.
            if not any(is_refused_write(cause) for cause in _causes(error)):
                raise
            log.warning("session.not_saved", error=type(error).__name__)
            return response if request.method in LOOKING else not_saved_page(request, error)


def _without_end(response: HttpResponse) -> HttpResponse:
    """A request that was on its way with the session of before somebody signed in finds none any more. The
    library then takes the cookie away, which would be the new one by now."""
    cookie = response.cookies.get(settings.SESSION_COOKIE_NAME)
    if cookie is not None and cookie["max-age"] == 0:
        del response.cookies[settings.SESSION_COOKIE_NAME]
    return response


def _causes(error: BaseException | None) -> Iterator[BaseException]:
    while error is not None:
        yield error
        error = error.__context__
