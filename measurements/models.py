"""The numbers: readings that are never overwritten, and the target bands.

Decided 2026-11:
- a band counts from the day it is set, with the marks of who has agreed beside it: a vet's target
  must not wait for a signature. A reading older than the band is a remark.
- whether the shoe was on is kept with a reading and never reckoned with. Nobody has published how
  far the two differ; it explains a step when one is seen.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models

from horses.models import Foot, Horse, PlanItemVersion, Role, Shoeing, Visit
from horses.models.base import AppendOnly
from measurements.hoof.quantities import QUANTITIES, Method, Moment, TrimState

QUANTITY_CHOICES = [(key, quantity.label) for key, quantity in QUANTITIES.items()]
METHOD_CHOICES = [(method.value, method.label) for method in Method]
TRIM_CHOICES = [(state.value, state.label) for state in TrimState]
MOMENT_CHOICES = [(moment.value, moment.label) for moment in Moment]


class ShoeThen(models.TextChoices):
    """Whether the shoe was on when the foot was measured; nothing: not said, or barefoot."""

    ON = "on", "shoe on"
    OFF = "off", "shoe off"


class Reading(AppendOnly):
    """One value of one quantity on one foot. A correction is a later row that names this one."""

    sealed_when_set = frozenset({"shoe_then"})

    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="readings")
    foot = models.CharField(max_length=2, choices=Foot.choices)
    quantity = models.CharField(max_length=30, choices=QUANTITY_CHOICES)
    # Base unit of the quantity (deg or mm) for reckoning; what was typed is kept beside it.
    value = models.DecimalField(max_digits=12, decimal_places=6)
    entered_value = models.DecimalField(max_digits=12, decimal_places=6)
    entered_unit = models.CharField(max_length=3)
    entered_text = models.CharField(max_length=40)
    method = models.CharField(max_length=10, choices=METHOD_CHOICES)
    trim_state = models.CharField(max_length=8, choices=TRIM_CHOICES)
    shoeing = models.CharField(max_length=12, choices=Shoeing.choices, blank=True)
    shoe_then = models.CharField(
        max_length=3, choices=ShoeThen.choices, blank=True, default="", db_default=""
    )
    taken_on = models.DateField()
    taken_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    taken_by_name = models.CharField(max_length=120)
    visit = models.ForeignKey(
        Visit, on_delete=models.PROTECT, null=True, blank=True, related_name="readings"
    )
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    recorded_at = models.DateTimeField()
    confirmed_odd = models.BooleanField(default=False)  # outside the usual range, and confirmed
    source = models.CharField(max_length=10, default="form")  # form or import
    # A correction: which reading it replaces and why. `is_void` takes a reading off the series
    # (wrong horse, wrong foot) without putting another value in its place.
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    correction_reason = models.CharField(max_length=300, blank=True)
    is_void = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar[list[str]] = ["taken_on", "id"]
        indexes = (models.Index(fields=["horse", "foot", "quantity", "taken_on"]),)


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
