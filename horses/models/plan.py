"""The plan: items, their exact versions, who agreed to which, and what was done about them.

Decided 2026-11:
- a wish for a change is answered by a new version or by a reply. A reply agrees to nothing and asks
  the one who wished once more.
- the role whose job an item is marks it done (a therapeutic item: the vet); nobody confirms another
  person's work.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models

from horses.models.base import AppendOnly, Versioned
from horses.models.case import Case, Role
from horses.models.visit import Visit


class PlanItem(Versioned):
    class Kind(models.TextChoices):
        TARGET = "target", "target"
        TRIM = "trim", "trim"
        SHOE = "shoe", "shoeing"
        HOME = "home", "care at home"
        WORK = "work", "work and rest"
        RECHECK = "recheck", "re-check"

    class Status(models.TextChoices):
        OPEN = "open", "open"
        DONE = "done", "done"
        WITHDRAWN = "withdrawn", "withdrawn"

    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="plan_items")
    number = models.PositiveIntegerField()  # "item 3" on the board and on paper
    kind = models.CharField(max_length=10, choices=Kind.choices)
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.OPEN)
    status_at = models.DateTimeField(null=True, blank=True)
    status_reason = models.CharField(max_length=300, blank=True)
    created_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar[list[str]] = ["number"]
        constraints = (
            models.UniqueConstraint(fields=["case", "number"], name="plan_item_number_once"),
        )

    @property
    def is_open(self) -> bool:
        return self.status == self.Status.OPEN


class PlanItemVersion(AppendOnly):
    """The exact words that people agree to, with their fingerprint."""

    item = models.ForeignKey(PlanItem, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    therapeutic = models.BooleanField()
    text = models.TextField()
    who_does = models.CharField(max_length=10, choices=Role.choices)  # whose job it is
    from_on = models.DateField(null=True, blank=True)
    until_on = models.DateField(null=True, blank=True)
    target = models.JSONField(
        null=True, blank=True
    )  # for kind target: foot, quantity, band, moment
    reason = models.TextField(blank=True)
    proposed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    proposed_role = models.CharField(max_length=10, choices=Role.choices)
    proposed_at = models.DateTimeField()
    # Frozen when proposed: someone leaving later never makes the list shorter.
    required_roles = models.JSONField()
    # Set by the vet alone because it could not wait: in force at once, agreed only by the others.
    emergency = models.BooleanField(default=False)
    content_hash = models.CharField(max_length=64)

    class Meta:
        ordering: ClassVar[list[str]] = ["number"]
        constraints = (
            models.UniqueConstraint(fields=["item", "number"], name="plan_version_number_once"),
        )

    @property
    def is_changed(self) -> bool:
        """Whether another version stood before it."""
        return self.number > 1


class Agreement(AppendOnly):
    """One person's word, for their own role, on one exact version."""

    class Decision(models.TextChoices):
        AGREE = "agree", "agreed"
        DECLINE = "decline", "declined"
        ASK = "ask", "asks for a change"

    version = models.ForeignKey(
        PlanItemVersion, on_delete=models.PROTECT, related_name="agreements"
    )
    content_hash = models.CharField(max_length=64)  # what the person was shown
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    person_name = models.CharField(max_length=120)
    role = models.CharField(max_length=10, choices=Role.choices)
    decision = models.CharField(max_length=8, choices=Decision.choices)
    reason = models.TextField(blank=True)
    decided_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar[list[str]] = ["id"]


class PlanReply(AppendOnly):
    """An answer in words to somebody who declined or asked for a change. It agrees to nothing."""

    version = models.ForeignKey(PlanItemVersion, on_delete=models.PROTECT, related_name="replies")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    person_name = models.CharField(max_length=120)
    role = models.CharField(max_length=10, choices=Role.choices)
    words = models.TextField()
    said_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar[list[str]] = ["id"]


class PlanItemOutcome(AppendOnly):
    """What became of one item at one visit."""

    class Result(models.TextChoices):
        DONE = "done", "done"
        PARTLY = "partly", "partly"
        NOT_DONE = "not_done", "not done"

    version = models.ForeignKey(PlanItemVersion, on_delete=models.PROTECT, related_name="outcomes")
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="outcomes")
    result = models.CharField(max_length=10, choices=Result.choices)
    words = models.CharField(max_length=300, blank=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    recorded_at = models.DateTimeField()
