"""A browser before several processes of one installation: it asks whichever it is told to."""

import http.cookiejar
import urllib.error
import urllib.request
from dataclasses import dataclass
from email.message import Message
from typing import Any

from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart


@dataclass
class Answer:
    status: int
    headers: Message
    text: str


class _Stay(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *_: Any) -> None:
        """Where an answer leads is looked at, not followed."""


class Person:
    """One browser that asks whichever process it is told to."""

    def __init__(self, ports: list[int], session: str = "") -> None:
        self.ports, self._session = ports, session
        self._jar = http.cookiejar.CookieJar()
        cookies = urllib.request.HTTPCookieProcessor(self._jar)
        self._opener = urllib.request.build_opener(_Stay, cookies)

    def get(self, which: int, path: str) -> Answer:
        return self._ask(which, path, None, "")

    def post(self, which: int, path: str, fields: dict[str, Any], *, form: str = "") -> Answer:
        """As from a page that was opened before, at either process."""
        if not any(cookie.name == "csrftoken" for cookie in self._jar):
            self.get(which, form or path)
        token = next(cookie.value for cookie in self._jar if cookie.name == "csrftoken")
        typed = {**fields, "csrfmiddlewaretoken": token}
        return self._ask(which, path, encode_multipart(BOUNDARY, typed), MULTIPART_CONTENT)

    def _ask(self, which: int, path: str, body: bytes | None, kind: str) -> Answer:
        base = f"http://127.0.0.1:{self.ports[which]}"
        asked = urllib.request.Request(base + path, body, {"Origin": base} if body else {})
        if kind:
            asked.add_header("Content-Type", kind)
        if self._session:
            asked.add_unredirected_header("Cookie", self._cookies())
        try:
            with self._opener.open(asked, timeout=60) as answer:
                return Answer(answer.status, answer.headers, answer.read().decode(errors="replace"))
        except urllib.error.HTTPError as answer:
            return Answer(answer.code, answer.headers, answer.read().decode(errors="replace"))

    def _cookies(self) -> str:
        pairs = [("sessionid", self._session), *((c.name, c.value) for c in self._jar)]
        return "; ".join(f"{name}={value}" for name, value in pairs)
