"""Notices, one for each event, person and channel; and the outbox of jobs that must not get lost."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from horses.models.base import Record
from horses.models.case import Case


class Digest(Record):
    """One mail with what gathered for a person; what is in it is settled before it is sent, so
    that a second try is the same mail."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=["person"],
                condition=Q(settled_at__isnull=True),
                name="one_open_digest_a_person",
            ),
        )


class CaseMute(models.Model):
    """A person wants no mail about this case, except what is urgent."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="mutes"
    )
    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="+")
    muted_at = models.DateTimeField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=["person", "case"], name="case_muted_once"),)


class Notice(Record):
    class Channel(models.TextChoices):
        APP = "app", "in the app"
        MAIL = "mail", "by mail"

    class State(models.TextChoices):
        PENDING = "pending", "waiting"
        SENT = "sent", "sent"
        DROPPED = "dropped", "not sent"  # no longer allowed to see it, or does not want mail
        FAILED = "failed", "could not be sent"

    event = models.CharField(max_length=80)  # e.g. "flag.raised:<id>": once a person and channel
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="notices"
    )
    channel = models.CharField(max_length=4, choices=Channel.choices)
    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="+")
    verb = models.CharField(max_length=60)
    urgent = models.BooleanField(default=False)
    subject = models.CharField(max_length=200)
    body = models.TextField(blank=True)
    path = models.CharField(max_length=200)  # where in the app it leads
    audience = models.CharField(max_length=60)  # roles that may see it, checked again when sending
    created_at = models.DateTimeField()
    # Waits for the person's daily mail; `digest` is the one it went into.
    in_digest = models.BooleanField(default=False, db_default=False)
    digest = models.ForeignKey(
        Digest, on_delete=models.PROTECT, null=True, blank=True, related_name="notices"
    )
    state = models.CharField(max_length=8, choices=State.choices, default=State.PENDING)
    sent_at = models.DateTimeField(null=True, blank=True)
    read_at = models.DateTimeField(null=True, blank=True)
    trouble = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["-created_at", "-id"]
        constraints = (
            models.UniqueConstraint(
                fields=["event", "person", "channel"], name="one_notice_event_person_channel"
            ),
        )
        indexes = (
            models.Index(
                fields=["person"],
                condition=Q(channel="app", read_at__isnull=True),
                name="notice_unread",
            ),
            models.Index(
                fields=["person", "created_at"],
                condition=Q(channel="mail", state="pending"),
                name="notice_unsent",
            ),
        )


class Job(models.Model):
    """The outbox: a job is written in the same transaction as its cause and run after the commit.

    A worker takes a row by moving its lease; a worker that dies lets the lease run out and
    another takes the row. `wanted` counts requests, so that a request that arrives while the
    work is being done is not swallowed by its end.
    """

    stored_as: ClassVar[str] = "horses.Work"

    kind = models.CharField(max_length=40)
    key = models.CharField(max_length=120)
    rank = models.PositiveSmallIntegerField(default=1, db_default=1)  # what is done first
    due_at = models.DateTimeField()
    lease_until = models.DateTimeField(null=True, blank=True)
    # Who holds the lease: a worker that lost it to another must not end the other's.
    leased_by = models.CharField(max_length=16, blank=True, default="", db_default="")
    attempts = models.PositiveIntegerField(default=0)
    wanted = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField()
    # The request (or job) that asked for it last, for the log.
    request_id = models.CharField(max_length=40, blank=True, default="", db_default="")
    set_aside_at = models.DateTimeField(null=True, blank=True)
    trouble = models.TextField(blank=True)

    class Meta:
        db_table = "horses_work"
        constraints = (models.UniqueConstraint(fields=["kind", "key"], name="work_once_a_key"),)
        indexes = (
            models.Index(
                fields=["rank", "due_at"],
                condition=Q(set_aside_at__isnull=True),
                name="work_due_by_rank",
            ),
        )


class IdempotencyKey(models.Model):
    """A key that a form carried: the same form sent twice gives one result."""

    stored_as: ClassVar[str] = "horses.ClientKey"

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=64)
    payload_hash = models.CharField(max_length=64)
    result = models.CharField(max_length=200, blank=True)
    used_at = models.DateTimeField()

    class Meta:
        db_table = "horses_clientkey"
        constraints = (models.UniqueConstraint(fields=["person", "key"], name="client_key_once"),)


class CaseSeen(models.Model):
    """How far a person had read a case's history when they last opened the board."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="+")
    seq = models.PositiveIntegerField(default=0)
    seen_at = models.DateTimeField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=["person", "case"], name="case_seen_once"),)
