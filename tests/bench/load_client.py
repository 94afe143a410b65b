"""A browser without a screen: cookies, forms with their hidden fields, one connection kept open."""

import http.client
import re
import time
from collections.abc import Callable
from urllib.parse import urlencode

TIMEOUT_S = 60.0  # longer than a database waits for its lock: what hangs is seen as what it is
HIDDEN = re.compile(r'<input[^>]*\bname="(csrfmiddlewaretoken|client_key|seen_hash)"[^>]*>')
VALUE = re.compile(r'\bvalue="([^"]*)"')
TRIES = 3  # of the same form with the same key, as a person would press again


class Browser:
    """One signed-in person. `note(kind, seconds, status)` is told of every answer."""

    def __init__(self, port: int, session: str, note: Callable[[str, float, int], None]) -> None:
        self._port, self._note = port, note
        self._cookies = {"sessionid": session}
        self._connection = http.client.HTTPConnection("127.0.0.1", port, timeout=TIMEOUT_S)

    def get(self, kind: str, path: str) -> str:
        """The page, or "" when it did not come as it should."""
        status, body = self._ask(kind, "GET", path)
        return body if status == 200 else ""

    def send(self, kind: str, path: str, fields: dict[str, str]) -> dict[str, str] | None:
        """Opens the form, fills it in and sends it; what was sent, once it was acknowledged."""
        page = self.get(f"{kind} form", path)
        if not page:
            return None
        typed = {**_hidden(page), **fields}
        for _ in range(TRIES):
            status, _ = self._ask(kind, "POST", path, typed)
            if status == 302:
                return typed
            if status:  # answered, and not saved: no second try
                return None
        return None

    def close(self) -> None:
        self._connection.close()

    def _ask(
        self, kind: str, method: str, path: str, fields: dict[str, str] | None = None
    ) -> tuple[int, str]:
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self._cookies.items())}
        data = None
        if fields is not None:
            data = urlencode(fields)
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        reused = self._connection.sock is not None
        began = time.monotonic()
        try:
            self._connection.request(method, path, data, headers)
            answer = self._connection.getresponse()
            body = answer.read().decode(errors="replace")
        except (OSError, http.client.HTTPException) as error:
            if reused and isinstance(error, ConnectionError):
                # The server closed what had been idle: a browser opens another, and so do we.
                self._connection.close()
                return self._ask(kind, method, path, fields)
            self._connection.close()  # opened anew by the next request
            self._note(kind, time.monotonic() - began, 0)
            return 0, ""
        for cookie in answer.headers.get_all("Set-Cookie") or []:
            name, _, value = cookie.split(";")[0].partition("=")
            self._cookies[name] = value
        self._note(kind, time.monotonic() - began, answer.status)
        return answer.status, body


def _hidden(page: str) -> dict[str, str]:
    """The first value of each hidden field that a form must bring back."""
    found: dict[str, str] = {}
    for match in HIDDEN.finditer(page):
        if value := VALUE.search(match[0]):
            found.setdefault(match[1], value[1])
    return found
