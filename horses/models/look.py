"""A look at a horse in passing: who looked, when, and whether this horse alone or several at once.

Decided 2026-11:
- marking "the others" with one press is told apart from a look at one horse, so that nobody takes
  it for so many feet picked up. Every row says how many were marked with it.
- there is no row for a horse that was not looked at, and nothing asks for one: a day without a
  look alarms nobody.
- a mark is taken back by a later row, for ten minutes and by who made it. After that another look,
  or a flag, says what is so.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from horses.models.base import AppendOnly
from horses.models.case import Case, Role
from horses.models.horse import Horse


class LookQuerySet(models.QuerySet["Look"]):
    def standing(self) -> "LookQuerySet":
        """The looks that were not taken back; without the rows that take back."""
        return self.filter(takes_back=None, taken_back_by=None)


class Look(AppendOnly):
    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="looks")
    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="looks")
    looked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    looked_by_name = models.CharField(max_length=120)
    looked_by_role = models.CharField(max_length=10, choices=Role.choices)
    looked_at = models.DateTimeField()
    press = models.CharField(max_length=16)  # the same for all horses that one press marked
    together = models.PositiveSmallIntegerField()  # how many those were; 1: this horse alone
    takes_back = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="taken_back_by"
    )

    objects = LookQuerySet.as_manager()

    class Meta:
        ordering: ClassVar[list[str]] = ["id"]
        constraints = (
            models.CheckConstraint(condition=Q(together__gte=1), name="look_at_one_at_least"),
        )

    @property
    def others(self) -> int:
        """How many other horses were marked with the same press."""
        return self.together - 1
