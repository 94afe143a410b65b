"""What happened to shoes between two visits: lost, put back, or left off."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from horses.models.base import AppendOnly
from horses.models.case import Case, Role
from horses.models.foot import Foot, Shoeing
from horses.models.horse import Horse
from horses.models.observations import Flag


class ShoeChange(AppendOnly):
    """One foot's shoe came off, or the matter was settled, outside a written-up visit.

    Together with the work of the visits this is the whole story of how a foot was shod.
    """

    class Kind(models.TextChoices):
        LOST = "lost", "lost"
        BACK = "back", "tacked back on"
        NEW = "new", "new shoe put on"
        OFF = "off", "left off for now"
        SAID = "said", "said when the horse was added"

    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="shoe_changes")
    # Empty: said when the horse was added.
    flag = models.ForeignKey(
        Flag, on_delete=models.PROTECT, null=True, blank=True, related_name="shoe_changes"
    )
    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="+")
    foot = models.CharField(max_length=2, choices=Foot.choices)
    kind = models.CharField(max_length=6, choices=Kind.choices)
    shoeing_left = models.CharField(max_length=12, choices=Shoeing.choices)
    changed_on = models.DateField()
    words = models.CharField(max_length=300, blank=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    recorded_role = models.CharField(max_length=10, choices=Role.choices)
    recorded_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar[list[str]] = ["changed_on", "id"]
        indexes = (models.Index(fields=["horse", "changed_on"], name="shoe_change_of_horse"),)
