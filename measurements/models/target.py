"""The target bands.

Decided 2026-11: a band counts from the day it is set, with the marks of who has agreed beside it: a
vet's target must not wait for a signature. A reading older than the band is a remark.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models

from horses.models import Foot, Horse, PlanItemVersion, Role
from horses.models.base import AppendOnly
from measurements.models.choices import MOMENT_CHOICES, QUANTITY_CHOICES


class Target(AppendOnly):
    """The band for one quantity on one foot from a day; the newest row for them is in force.

    One bound may be open ("15 mm or more"); an ending is a row without bounds. The plan item version carries the team's agreement to it.
    """

    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="targets")
    foot = models.CharField(max_length=2, choices=Foot.choices)
    quantity = models.CharField(max_length=30, choices=QUANTITY_CHOICES)
    moment = models.CharField(max_length=8, choices=MOMENT_CHOICES)
    low = models.DecimalField(max_digits=12, decimal_places=6, null=True, blank=True)
    high = models.DecimalField(max_digits=12, decimal_places=6, null=True, blank=True)
    from_on = models.DateField()
    reason = models.TextField()
    therapeutic = models.BooleanField()
    plan_version = models.ForeignKey(
        PlanItemVersion, on_delete=models.PROTECT, null=True, blank=True, related_name="targets"
    )
    set_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    set_role = models.CharField(max_length=10, choices=Role.choices)
    set_at = models.DateTimeField()

    @property
    def has_bounds(self) -> bool:
        """Not an ending."""
        return self.low is not None or self.high is not None

    class Meta:
        ordering: ClassVar[list[str]] = ["from_on", "id"]
        indexes = (models.Index(fields=["horse", "foot", "quantity"]),)
        constraints = (
            # True too where a bound is open: the comparison says nothing then.
            models.CheckConstraint(
                condition=models.Q(low__isnull=True)
                | models.Q(high__isnull=True)
                | models.Q(low__lt=models.F("high")),
                name="target_low_below_high",
            ),
        )
