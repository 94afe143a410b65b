"""The append-only record of who did what on the case, chained line to line."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from horses.models.base import AppendOnly
from horses.models.case import Case, Role

# The beginning of the verbs of the daily look. There may be one a day and horse, so that lists of
# what happened leave these lines out unless they are asked for.
LOOKS = "look."


class HistoryLine(AppendOnly):
    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="history")
    seq = models.PositiveIntegerField()
    at = models.DateTimeField()
    # PROTECT: a person who appears here is never deleted. Empty: the board itself.
    actor = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    actor_name = models.CharField(max_length=120)
    actor_role = models.CharField(max_length=10, choices=Role.choices, blank=True)
    verb = models.CharField(max_length=60)  # dotted, past tense: plan.item.agreed
    subject = models.CharField(max_length=40, blank=True)  # public id of what it is about
    audience = models.CharField(max_length=60)
    before = models.JSONField(null=True, blank=True)
    after = models.JSONField(null=True, blank=True)
    request_id = models.CharField(max_length=40, blank=True)
    # The exact text that was hashed: JSON columns may be re-ordered by a database.
    canonical = models.TextField()
    prev_hash = models.CharField(max_length=64, blank=True)
    line_hash = models.CharField(max_length=64)

    class Meta:
        ordering: ClassVar[list[str]] = ["seq"]
        constraints = (models.UniqueConstraint(fields=["case", "seq"], name="history_seq_once"),)
