"""How a foot points when the horse stands square, as somebody saw it on a day."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from horses.models.base import AppendOnly
from horses.models.case import Case, Role
from horses.models.foot import Foot
from horses.models.horse import Horse


class StanceNote(AppendOnly):
    class Stance(models.IntegerChoices):
        """Inwards is negative: the numbers are places on the chart, not degrees."""

        IN_CLEAR = -2, "toes in clearly"
        IN_SLIGHT = -1, "toes in slightly"
        STRAIGHT = 0, "straight"
        OUT_SLIGHT = 1, "toes out slightly"
        OUT_CLEAR = 2, "toes out clearly"

    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="stances")
    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="stances")
    foot = models.CharField(max_length=2, choices=Foot.choices)
    stance = models.SmallIntegerField(choices=Stance.choices)
    seen_on = models.DateField()
    words = models.CharField(max_length=300, blank=True)
    seen_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    seen_by_name = models.CharField(max_length=120)
    seen_by_role = models.CharField(max_length=10, choices=Role.choices)
    recorded_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar[list[str]] = ["seen_on", "id"]
