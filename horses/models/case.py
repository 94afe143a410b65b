"""A case, the team round it, and the invitations to it.

Decided 2026-11:
- a person has one role on a case. The road not taken: several; someone who is owner and vet would
  agree with themself.
- words stay on the case they were said on. Readings, trims, visits and alerts belong to the horse
  and show on all its boards; examinations, answers to alerts, flags and notes belong to one case,
  because another case's team may be smaller.
- a concern is opened from an open case only, with that case's team. From a closed case, a person
  removed from the horse since could come back.
- an invitation's token is derived from the server's secret; the database keeps only a hash.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from horses.models.base import Record, Versioned
from horses.models.horse import Horse


class Role(models.TextChoices):
    OWNER = "owner", "owner"
    FARRIER = "farrier", "farrier"
    VET = "vet", "vet"
    CARER = "carer", "carer"


# The three that agree, in the order in which they are always named.
AGREEING_ROLES = (Role.OWNER, Role.FARRIER, Role.VET)


class Case(Versioned):
    class Kind(models.TextChoices):
        ROUTINE = "routine", "standing care"
        CONCERN = "concern", "concern"

    class Outcome(models.TextChoices):
        MET = "met", "goal met"
        PARTLY = "partly", "goal partly met"
        NOT_MET = "not_met", "goal not met"
        STOPPED = "stopped", "stopped before the end"

    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="cases")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    title = models.CharField(max_length=120)
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    closed_at = models.DateTimeField(null=True, blank=True)
    outcome = models.CharField(max_length=10, choices=Outcome.choices, blank=True)
    outcome_words = models.TextField(blank=True)
    # The end of this case's history chain; the row is locked before a line is added.
    last_seq = models.PositiveIntegerField(default=0)
    last_hash = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["-opened_at", "-id"]
        constraints = (
            models.UniqueConstraint(
                fields=["horse"], condition=Q(kind="routine"), name="one_routine_case_a_horse"
            ),
        )

    def __str__(self) -> str:
        return self.title

    @property
    def is_concern(self) -> bool:
        return self.kind == self.Kind.CONCERN

    @property
    def is_open(self) -> bool:
        return self.closed_at is None


class Membership(Record):
    """One person in one role on one case, from a moment to a moment."""

    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="memberships")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="memberships"
    )
    role = models.CharField(max_length=10, choices=Role.choices)
    stand_in = models.BooleanField(default=False)
    # A carer who manages the yard where the horse stands: plans and records, agrees to nothing.
    runs_yard = models.BooleanField(default=False, db_default=False)
    # The place at a yard that this came through; only horses/services/yard_people.py sets it.
    via = models.ForeignKey(
        "horses.YardMember",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="memberships",
    )
    # Whoever added the horse for an owner who has no account, until that owner has joined.
    holds = models.BooleanField(default=False, db_default=False)
    joined_at = models.DateTimeField()
    left_at = models.DateTimeField(null=True, blank=True)
    removed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    # Empty for who set the case up, and for who joined before it was written down: their teams have
    # worked with them, and a board that calls everybody new at once teaches nobody to look.
    invited_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    confirmed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    confirmed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["id"]
        constraints = (
            # One role a person and case at a time: an owner who is also the vet would otherwise
            # agree with themself.
            models.UniqueConstraint(
                fields=["case", "person"],
                condition=Q(left_at__isnull=True),
                name="one_active_membership",
            ),
        )

    @property
    def is_new_here(self) -> bool:
        """A vet or farrier whom one person brought, and nobody independent has confirmed."""
        return (
            self.role in (Role.VET, Role.FARRIER)
            and self.invited_by_id is not None
            and self.confirmed_at is None
            and self.person.known_at is None
        )

    @property
    def new_here_words(self) -> str:
        """As everybody on the team reads it; empty for whoever is not new."""
        if not self.is_new_here:
            return ""
        return f"new here, invited by {self.invited_by}; not yet confirmed by anybody else"


class Invitation(Record):
    """An address asked to join. Only a hash of the way in is kept."""

    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="invitations")
    role = models.CharField(max_length=10, choices=Role.choices)
    stand_in = models.BooleanField(default=False)
    email = models.EmailField(max_length=254)
    token_hash = models.CharField(max_length=64, unique=True)
    invited_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    invited_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True, blank=True)
    accepted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    revoked_at = models.DateTimeField(null=True, blank=True)
    # The buyer's: with the standing care's, the sale goes on.
    sale = models.ForeignKey(
        "horses.Sale", on_delete=models.PROTECT, null=True, blank=True, related_name="invitations"
    )
    # What the mail server last answered; empty once the invitation has gone out.
    mail_trouble = models.CharField(max_length=200, blank=True, default="", db_default="")

    class Meta:
        ordering: ClassVar[list[str]] = ["-invited_at", "-id"]
