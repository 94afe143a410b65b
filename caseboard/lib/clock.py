"""The one place of ours that reads the clock. Everything below the views is handed `now`."""

from datetime import datetime

from django.utils import timezone


def now() -> datetime:
    """The moment, aware, in UTC."""
    return timezone.now()
