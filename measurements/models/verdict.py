"""What the drift method said, kept so that a page need not judge again."""

from typing import ClassVar

from django.db import models

from horses.models import Foot, Horse
from horses.models.base import AppendOnly


class FootVerdict(AppendOnly):
    """What the drift method said of a foot, with the fingerprint of what it was judged on."""

    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="verdicts")
    foot = models.CharField(max_length=2, choices=Foot.choices)
    series_key = models.CharField(max_length=64)
    state = models.CharField(max_length=10)  # a DriftState
    visits_seen = models.PositiveIntegerField()
    judged_at = models.DateTimeField()
    result = models.JSONField()

    class Meta:
        ordering: ClassVar[list[str]] = ["judged_at", "id"]
        constraints = (
            models.UniqueConstraint(
                fields=["horse", "foot", "series_key"], name="foot_verdict_once_a_series"
            ),
        )
