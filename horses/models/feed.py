"""The private address under which a person's own calendar reads their visits.

Decided 2026-11: the address is derived like an invitation's. What is in the calendar is asked anew
at every reading, so that a removal ends it.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from horses.models.base import Record


class CalendarFeed(Record):
    """Only a hash of the way in is kept; a revoked one opens nothing any more."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="calendar_feeds"
    )
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    # Whether the events name the place: for whoever reads them on a screen of their own.
    with_place = models.BooleanField(default=False, db_default=False)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["-made_at", "-id"]
        constraints = (
            models.UniqueConstraint(
                fields=["person"], condition=Q(revoked_at__isnull=True), name="one_calendar_feed"
            ),
        )
