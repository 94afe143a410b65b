"""The one place of ours that reads the clock. Everything below the views is handed `now`.

Decided 2026-11: the day is the day where the installation is (`TIME_ZONE`): `now()` is in local
time, so that an evening visit is not tomorrow's.
"""

from datetime import datetime

from django.utils import timezone


def now() -> datetime:
    """The moment, aware, in the time zone of the installation: its `.date()` is the local day."""
    return timezone.localtime()


def now_ms() -> int:
    """As scripts count it, for a phone that compares its own clock."""
    return int(now().timestamp() * 1000)
