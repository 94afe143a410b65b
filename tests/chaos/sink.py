"""A mail server that takes everything, slowly, and counts what it was given by Message-ID."""

import asyncio
import threading
from collections import Counter
from email import message_from_bytes
from typing import Any

from aiosmtpd.controller import Controller

from tests.chaos.processes import free_port

TAKES_S = 0.02  # long enough for a kill to fall between the sending and the noting


class Sink:
    """`counts` holds how often each Message-ID came in whole."""

    def __init__(self) -> None:
        self.counts: Counter[str] = Counter()
        self._lock = threading.Lock()
        self._server = Controller(self, hostname="127.0.0.1", port=free_port())
        self._server.start()

    @property
    def url(self) -> str:
        return f"smtp://127.0.0.1:{self._server.port}"

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

    def stop(self) -> None:
        self._server.stop()
