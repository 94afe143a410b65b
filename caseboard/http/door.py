"""Refuses large request bodies from browsers in which nobody has ever signed in.

The web server reads a request to its end before it calls the program, so this check looks at the
head alone: the cookie of a known browser is enough. Who is signed in is checked later (see
`AnswersMiddleware`).
"""

from http.cookies import CookieError, SimpleCookie
from typing import Any

from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.utilities import RequestEntityTooLarge

from caseboard.lib.known_browser import cookie_name, known_read

# House default: the longest form that somebody not signed in may send, the answer of a passkey, takes
# a third of it.
MOST_FROM_STRANGERS = 64 * 1024
TOO_MUCH = f"more than {MOST_FROM_STRANGERS // 1024} kB, and nobody has signed in here"


def is_too_much(content_length: Any) -> bool:
    return str(content_length).isdigit() and int(content_length) > MOST_FROM_STRANGERS


class DoorParser(HTTPRequestParser):
    """Refuses a request by its declared length, a chunked one by the bytes received."""

    error: Any
    _known: bool | None = None

    def received(self, data: bytes) -> int:
        before = self.headers_finished
        taken: int = super().received(data)
        if self.headers_finished and not self.error:
            much = is_too_much(self.content_length if not before else self.body_bytes_received)
            if much and not self._is_known():
                self.error = RequestEntityTooLarge(TOO_MUCH)
                self.completed = True
        return taken

    def _is_known(self) -> bool:
        """Read once for each request, however many chunks it comes in."""
        if self._known is None:
            self._known = _has_known_cookie(self.headers.get("COOKIE", ""))
        return self._known


def _has_known_cookie(header: str) -> bool:
    try:
        found = SimpleCookie(header).get(cookie_name())
    except CookieError:
        return False
    return found is not None and known_read(found.value) is not None


class DoorChannel(HTTPChannel):
    parser_class = DoorParser
