"""A yard: a place where horses stand, its people, and which horse stands there since when.

Decided 2026-11:
- access stays what it is, memberships of cases. A yard's people get ordinary memberships of the
  standing care of its horses, written by one service (horses/services/yard_people.py), which
  remember which place at the yard they came through (`Membership.via`). The road not taken: an
  access that also looks at the yard. Every query of the board would have to know of it.
- a manager stands on a horse that is not the yard's own as a carer who runs the yard
  (`Membership.runs_yard`): they plan, record and report, and agree to nothing, remove nobody and
  sell nothing. The road not taken: a role of its own, which every stored audience would lack.
- a livery owner has a place at the yard too, which brings them on no horse by itself.
- somebody who followed a link waits (`confirmed_at` is empty) until a manager has read the name
  that came in and said yes.
"""

from datetime import datetime
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from horses.models.base import Record, Versioned
from horses.models.horse import Horse


class YardRole(models.TextChoices):
    MANAGER = "manager", "manager"
    OWNER = "owner", "owner"
    FARRIER = "farrier", "farrier"
    STAND_IN = "stand_in", "stand-in farrier"
    VET = "vet", "vet"
    CARER = "carer", "carer"


class Yard(Versioned):
    name = models.CharField(max_length=120)
    address = models.CharField(max_length=300, blank=True)
    # Days are the yard's: "today" there is its own calendar's.
    time_zone = models.CharField(max_length=64)
    vet_name = models.CharField(max_length=120, blank=True)
    vet_phone = models.CharField(max_length=40, blank=True)  # out of hours
    held_by = models.CharField(max_length=200, blank=True)
    # Everyday practice 6 to 8 weeks (common practice, no source); as for a horse.
    interval_days = models.PositiveSmallIntegerField(default=49)
    created_at = models.DateTimeField()
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering: ClassVar[list[str]] = ["name", "id"]

    def __str__(self) -> str:
        return self.name


class YardInvitation(Record):
    """A way to a place at a yard. Only a hash of the link is kept."""

    yard = models.ForeignKey(Yard, on_delete=models.PROTECT, related_name="invitations")
    role = models.CharField(max_length=10, choices=YardRole.choices)
    email = models.EmailField(max_length=254, blank=True)  # for this address only; empty: any
    token_hash = models.CharField(max_length=64, unique=True)
    invited_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    invited_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)  # of one that is used once
    ended_at = models.DateTimeField(null=True, blank=True)
    mail_trouble = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["-invited_at", "-id"]

    @property
    def is_used_once(self) -> bool:
        return bool(self.email) or self.role not in (YardRole.CARER, YardRole.OWNER)


class YardMemberQuerySet(models.QuerySet["YardMember"]):
    def in_force(self) -> "YardMemberQuerySet":
        return self.filter(confirmed_at__isnull=False, ended_at__isnull=True)

    def waiting(self) -> "YardMemberQuerySet":
        return self.filter(confirmed_at__isnull=True, ended_at__isnull=True)


class YardMember(Record):
    """One person's place at a yard, from a moment to a moment."""

    yard = models.ForeignKey(Yard, on_delete=models.PROTECT, related_name="members")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="yard_places"
    )
    role = models.CharField(max_length=10, choices=YardRole.choices)
    asked_at = models.DateTimeField()
    invited_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    invitation = models.ForeignKey(
        YardInvitation, on_delete=models.PROTECT, null=True, blank=True, related_name="joiners"
    )
    confirmed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    confirmed_at = models.DateTimeField(null=True, blank=True)
    # The last day of somebody who is here for a time; their place ends after it.
    until_on = models.DateField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = YardMemberQuerySet.as_manager()

    class Meta:
        ordering: ClassVar[list[str]] = ["id"]
        constraints = (
            models.UniqueConstraint(
                fields=["yard", "person"],
                condition=Q(ended_at__isnull=True),
                name="one_place_a_yard",
            ),
        )

    @property
    def is_manager(self) -> bool:
        return self.role == YardRole.MANAGER

    @property
    def is_in_force(self) -> bool:
        return self.confirmed_at is not None and self.ended_at is None

    @property
    def since(self) -> datetime:
        return self.confirmed_at or self.asked_at


class StayQuerySet(models.QuerySet["Stay"]):
    def now(self) -> "StayQuerySet":
        return self.filter(until_at__isnull=True)


class Stay(Record):
    """A horse at a yard, from a moment to a moment."""

    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="stays")
    yard = models.ForeignKey(Yard, on_delete=models.PROTECT, related_name="stays")
    # The yard's own: its managers stand as the owner. Else somebody's who decides for themself.
    is_yards_own = models.BooleanField(default=False)
    # Its owner is asked first before somebody new of the yard comes on the horse.
    asks_first = models.BooleanField(default=False)
    from_at = models.DateTimeField()
    until_at = models.DateTimeField(null=True, blank=True)

    objects = StayQuerySet.as_manager()

    class Meta:
        ordering: ClassVar[list[str]] = ["id"]
        constraints = (
            models.UniqueConstraint(
                fields=["horse"], condition=Q(until_at__isnull=True), name="one_stay_a_horse"
            ),
        )


class LeftOut(Record):
    """Somebody of the yard whom the owner of one horse leaves out of its care."""

    stay = models.ForeignKey(Stay, on_delete=models.PROTECT, related_name="left_out")
    member = models.ForeignKey(YardMember, on_delete=models.PROTECT, related_name="left_out_of")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    until_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["id"]
        constraints = (
            models.UniqueConstraint(
                fields=["stay", "member"],
                condition=Q(until_at__isnull=True),
                name="left_out_once",
            ),
        )
