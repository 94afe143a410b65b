"""Mail servers of the tests: one counts what it was given, slowly, by Message-ID; one keeps the texts."""

import asyncio
import re
import threading
from collections import Counter
from email import message_from_bytes
from typing import Any, Self

from aiosmtpd.controller import Controller

from tests.chaos.processes import free_port

TAKES_S = 0.02  # long enough for a kill to fall between the sending and the noting


class Sink:
    """`counts` holds how often each Message-ID came in whole."""

    def __init__(self) -> None:
        self.counts: Counter[str] = Counter()
        self._lock = threading.Lock()
        self.port = free_port()
        self._server = Controller(self, hostname="127.0.0.1", port=self.port)
        self._server.start()

    @property
    def url(self) -> str:
        return f"smtp://127.0.0.1:{self.port}"

    @property
    def total(self) -> int:
        with self._lock:
            return self.counts.total()

    async def handle_DATA(self, _server: Any, _session: Any, envelope: Any) -> str:
        name = str(message_from_bytes(envelope.content)["Message-ID"])
        with self._lock:
            self.counts[name] += 1
        await asyncio.sleep(TAKES_S)
        return "250 taken"

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()

    def stop(self) -> None:
        self._server.stop()


class Inbox(Sink):
    """Keeps the words of each mail, the newest last."""

    def __init__(self) -> None:
        self.texts: list[str] = []
        super().__init__()

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        message = message_from_bytes(envelope.content)
        payload = message.get_payload(decode=True)
        words = payload.decode("utf-8", "replace") if isinstance(payload, bytes) else str(message)
        self.texts.append(words)
        return await super().handle_DATA(server, session, envelope)

    def code(self, *, after: int = 0) -> str:
        """The code in the newest mail beyond the first `after`; empty when there is none."""
        for words in reversed(self.texts[after:]):
            if found := re.search(r"^\s*([A-Z0-9]{3,4}-?[A-Z0-9]{3,4})\s*$", words, re.MULTILINE):
                return found[1]
        return ""
