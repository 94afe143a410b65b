"""Heartbeats of the workers, read by the readiness check."""

import os
import socket
import time
from datetime import datetime, timedelta

from django.db.models import Max

from caseboard.lib import clock
from horses.models import Heartbeat

EVERY_S = 10  # house default: a busy worker does not write a line for each round
# Without a sign for this long a worker is taken for dead: three rounds of the clock. House default.
ALIVE = timedelta(seconds=120)
FORGET = timedelta(days=1)
_last: dict[str, float] = {}


def beat(kind: str) -> None:
    """Says that a worker (or the clock) of this process is alive."""
    moment = time.monotonic()
    if moment - _last.get(kind, -EVERY_S) < EVERY_S:
        return
    now = clock.now()
    name = f"{kind}@{socket.gethostname()}:{os.getpid()}"[:80]
    Heartbeat.objects.update_or_create(name=name, defaults={"kind": kind, "beat_at": now})
    Heartbeat.objects.filter(beat_at__lt=now - FORGET).delete()
    _last[kind] = moment


def last_beat(kind: str) -> datetime | None:
    """When the last sign of life of this kind was."""
    found = Heartbeat.objects.filter(kind=kind).aggregate(at=Max("beat_at"))
    return found["at"]
