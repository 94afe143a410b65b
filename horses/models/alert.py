"""Alerts: what the numbers, the calendar or a missing answer say needs a person."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from horses.models.base import AppendOnly, Record
from horses.models.case import Case, Role
from horses.models.horse import Horse


def matter_name(cause: str, rule: str, subject: str) -> str:
    """What the alerts of one card share; an alert whose rule names no cause has a card of its own."""
    return cause or f"{rule}:{subject}"


class Alert(Record):
    """One finding, from raised to cleared. Its evidence is what was known when it was raised."""

    class Weight(models.TextChoices):
        ALERT = "alert", "needs a person"
        REMARK = "remark", "remark"

    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="alerts")
    # Empty: about the horse, shown on each of its open boards.
    case = models.ForeignKey(
        Case, on_delete=models.PROTECT, null=True, blank=True, related_name="alerts"
    )
    rule = models.CharField(max_length=40)
    subject = models.CharField(max_length=80)  # what exactly: "LF:toe_angle", a flag's id ...
    # Findings of one cause are one card: "LF:angles". Empty: the rule and subject are the cause.
    cause = models.CharField(max_length=120, blank=True, default="", db_default="")
    # Which way it goes, where there are two: the other way is another finding.
    way = models.CharField(max_length=8, blank=True, default="", db_default="")
    weight = models.CharField(max_length=8, choices=Weight.choices)
    title = models.CharField(max_length=120)
    sentence = models.TextField()
    evidence = models.JSONField()
    true_since = models.DateTimeField()  # when it became so, not when it was noticed
    raised_at = models.DateTimeField()
    # The same finding with today's numbers; `sentence` and `evidence` stay as first raised.
    now_sentence = models.TextField(blank=True)
    now_evidence = models.JSONField(null=True, blank=True)
    now_at = models.DateTimeField(null=True, blank=True)
    # How bad it is today in its own unit, with its standard error (see horses.rules.engine.Finding).
    severity = models.FloatField(null=True, blank=True)
    severity_sd = models.FloatField(default=0.0, db_default=0.0)
    danger = models.BooleanField(default=False, db_default=False)
    cleared_at = models.DateTimeField(null=True, blank=True)
    cleared_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["-raised_at", "-id"]
        constraints = (
            models.UniqueConstraint(
                fields=["horse", "rule", "subject"],
                condition=Q(cleared_at__isnull=True),
                name="one_open_alert_a_subject",
            ),
        )

    @property
    def is_open_alert(self) -> bool:
        """Asks somebody to look; not a remark, and not over."""
        return self.weight == self.Weight.ALERT and self.cleared_at is None

    @property
    def matter(self) -> str:
        return matter_name(self.cause, self.rule, self.subject)


class AlertTold(models.Model):
    """How bad an alert was when a role on a board was last told: by its notice, or by reading it as
    it answered. The judge's bookkeeping; stand-ins are told beside their role."""

    alert = models.ForeignKey(Alert, on_delete=models.CASCADE, related_name="told")
    case = models.ForeignKey(Case, on_delete=models.CASCADE, related_name="+")
    role = models.CharField(max_length=10, choices=Role.choices)
    stand_in = models.BooleanField(default=False)
    severity = models.FloatField(null=True, blank=True)
    severity_sd = models.FloatField(default=0.0)
    told_at = models.DateTimeField()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=["alert", "case", "role", "stand_in"], name="told_once_a_role"
            ),
        )


class AlertResponse(AppendOnly):
    """A person saw it, or said something about it."""

    stored_as: ClassVar[str] = "horses.AlertWord"

    class Kind(models.TextChoices):
        SEEN = "seen", "seen"
        ANSWERED = "answered", "answered"

    alert = models.ForeignKey(Alert, on_delete=models.PROTECT, related_name="words")
    # Said on one board: an alert of the horse shows on several, whose teams differ.
    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="+")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=10, choices=Role.choices)
    stand_in = models.BooleanField(default=False, db_default=False)  # quiets it for them alone
    kind = models.CharField(max_length=10, choices=Kind.choices)
    words = models.TextField(blank=True)
    said_at = models.DateTimeField()
    # An answer keeps how bad it was when it was given, and the last day it quiets the alert for its
    # role. Empty in answers of earlier versions.
    severity = models.FloatField(null=True, blank=True)
    severity_sd = models.FloatField(null=True, blank=True)
    until_on = models.DateField(null=True, blank=True)

    sealed_when_set: ClassVar[frozenset[str]] = frozenset(
        {"severity", "severity_sd", "until_on", "stand_in"}
    )

    class Meta:
        db_table = "horses_alertword"
        ordering: ClassVar[list[str]] = ["id"]
