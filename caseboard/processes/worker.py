"""The workers inside the one-process installation: threads that do the outbox's work.

They sweep by the clock too, each piece by whichever takes its turn (horses/jobs/turn.py).
"""

import threading
import time
from collections.abc import Callable

from django.conf import settings
from django.db import close_old_connections, connections

from caseboard.lib.logging.fields import logger
from caseboard.lib.logging.request_id import new_request_id, request_id_bound
from caseboard.processes import rounds
from caseboard.processes.waking import wake

log = logger("caseboard.work")


A_DAY_S = 24 * 3600


class Worker:
    """Drains when woken and every so often; sweeps by the clock; survives any error of a round."""

    def __init__(
        self,
        *,
        drain: Callable[[], None] = rounds.drain,
        sweep: Callable[[], None] = rounds.sweep,
        nightly: Callable[[], None] = rounds.nightly_here,
        drain_every_s: float = settings.OUTBOX_SWEEP_SECONDS,
        sweep_every_s: float = settings.JUDGE_SWEEP_SECONDS,
    ) -> None:
        self._drain, self._sweep, self._nightly = drain, sweep, nightly
        self._drain_every_s, self._sweep_every_s = drain_every_s, sweep_every_s
        self._stopping = threading.Event()
        self._woken = wake.hear()
        self._thread = threading.Thread(target=self._run, name="worker", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def stop(self, *, wait_s: float = 10) -> bool:
        """Lets the round under way end; True when the thread is gone. Unfinished work stays due."""
        self._stopping.set()
        self._woken.set()
        self._thread.join(wait_s)
        return not self._thread.is_alive()

    def _run(self) -> None:
        next_sweep = next_nightly = time.monotonic()  # both at the start too: it may have stood
        try:
            while not self._stopping.is_set():
                self._woken.clear()  # before the round: a wake during it starts another
                if time.monotonic() >= next_sweep:
                    self._round(self._sweep)
                    next_sweep = time.monotonic() + self._sweep_every_s
                if time.monotonic() >= next_nightly:
                    self._round(self._nightly)
                    next_nightly = time.monotonic() + A_DAY_S
                self._round(self._drain)
                self._woken.wait(self._drain_every_s)
        finally:
            wake.leave(self._woken)
            connections.close_all()

    def _round(self, work: Callable[[], None]) -> None:
        close_old_connections()
        try:
            with request_id_bound(new_request_id()):
                work()
        except Exception:
            log.exception("work.round_failed")
        finally:
            close_old_connections()


def workers() -> list[Worker]:
    """Those of the one-process installation; the second for notices only: a horse being judged does
    not keep an urgent one waiting."""
    return [Worker(drain=rounds.drain_but_notices), notices_worker()]


def notices_worker(*, drain_every_s: float = settings.OUTBOX_SWEEP_SECONDS) -> Worker:
    return Worker(
        drain=rounds.drain_notices,
        sweep=lambda: None,
        nightly=lambda: None,
        drain_every_s=drain_every_s,
    )
