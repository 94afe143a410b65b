"""The mail server of the first hour, and the inbox of the person it is for."""

import threading
from email import message_from_bytes
from typing import Any, Self

from aiosmtpd.controller import Controller

from tests.chaos.processes import free_port


class MailServer:
    def __init__(self) -> None:
        self.port = free_port()
        self._letters: list[str] = []
        self._lock = threading.Lock()
        self._server = Controller(self, hostname="127.0.0.1", port=self.port)

    def __enter__(self) -> Self:
        self._server.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._server.stop()

    async def handle_DATA(self, _server: Any, _session: Any, envelope: Any) -> str:
        letter = message_from_bytes(envelope.content)
        payload = letter.get_payload(decode=True)
        text = payload.decode("utf-8", "replace") if isinstance(payload, bytes) else str(letter)
        with self._lock:
            self._letters.append(text)
        return "250 taken"

    def received(self) -> list[str]:
        with self._lock:
            return list(self._letters)
