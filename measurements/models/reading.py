"""The numbers: readings that are never overwritten.

Decided 2026-11:
- whether the shoe was on is kept with a reading and never reckoned with. Nobody has published how
  far the two differ; it explains a step when one is seen.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models

from horses.models import Foot, Horse, Shoeing, Visit
from horses.models.base import AppendOnly
from measurements.models.choices import METHOD_CHOICES, QUANTITY_CHOICES, TRIM_CHOICES
from measurements.models.picture_points import PicturePoints


class ShoeThen(models.TextChoices):
    """Whether the shoe was on when the foot was measured; nothing: not said, or barefoot."""

    ON = "on", "shoe on"
    OFF = "off", "shoe off"


class EnteredHow(models.TextChoices):
    """How the value came into the form; nothing: before this was asked, or from a spreadsheet.

    A shown last value pulls the next one towards it, so a stepped or confirmed value is told apart
    from one that was typed.
    """

    TYPED = "typed", "typed"
    STEPPED = "stepped", "stepped from the last value"
    CONFIRMED = "confirmed", "measured, the same as last"
    SPOKEN = "spoken", "spoken or written in a line"
    PICTURE = "picture", "from the points on a picture"


class Reading(AppendOnly):
    """One value of one quantity on one foot. A correction is a later row that names this one."""

    sealed_when_set = frozenset({"shoe_then", "sd", "points_id", "entered_how", "entered_blind"})

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
    entered_how = models.CharField(
        max_length=9, choices=EnteredHow.choices, blank=True, default="", db_default=""
    )
    # The last value was not shown to who entered this one.
    entered_blind = models.BooleanField(default=False, db_default=False)
    # The value's own error in its base unit, where it is known better than by its method; and the
    # points on a picture it was reckoned from.
    sd = models.DecimalField(max_digits=12, decimal_places=6, null=True, blank=True)
    points = models.ForeignKey(
        PicturePoints, on_delete=models.PROTECT, null=True, blank=True, related_name="readings"
    )
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
