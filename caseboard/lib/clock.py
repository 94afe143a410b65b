"""The one place of ours that reads the clock. Everything below the views is handed `now`."""

from datetime import datetime

from django.utils import timezone


def now() -> datetime:
    """The moment, aware, in the time zone of the installation: its `.date()` is the local day."""
    return timezone.localtime()
