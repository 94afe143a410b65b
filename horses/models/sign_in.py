"""Where people are signed in: one row a browser, and the session itself is in it.

Because the row *is* the session, taking it away ends the session with the very next click; there
is no second list that could disagree with the first.

Decided 2026-11: `SignIn` is the session engine's table, and ending a session is deleting its row.
The road not taken: a list beside Django's sessions, as the sign-in library has it, which can
disagree with them and writes with every click.
"""

import hashlib
from importlib import import_module
from typing import Any, ClassVar

from django.conf import settings
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models


class SignIn(AbstractBaseSession):
    """One browser's session. Before the sign-in it belongs to nobody."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, null=True, related_name="sign_ins"
    )
    device = models.CharField(max_length=80, blank=True)  # in plain words
    way = models.CharField(max_length=10, blank=True)  # code or passkey
    signed_in_at = models.DateTimeField(null=True)
    last_seen_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["-last_seen_at"]

    @classmethod
    def get_session_store_class(cls) -> Any:
        return import_module(settings.SESSION_ENGINE).SessionStore

    @property
    def is_by_passkey(self) -> bool:
        return self.way == "passkey"

    @property
    def handle(self) -> str:
        """Names the row on a page. The key itself opens the session and is never shown."""
        return hashlib.sha256(f"shown\n{self.session_key}".encode()).hexdigest()[:24]


class Passkey(models.Model):
    """The public half of a key that stays in a person's phone or computer."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="passkeys"
    )
    public_id = models.CharField(max_length=24, unique=True)
    # Of the id, which may be 1023 bytes long: a fingerprint of one length for the index.
    credential_hash = models.CharField(max_length=64, unique=True)
    # The key as the protocol library writes it (attested credential data), in hex.
    public_key = models.TextField()
    sign_count = models.BigIntegerField(default=0)
    name = models.CharField(max_length=60)
    added_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["added_at", "id"]


class EmailChange(models.Model):
    """A sign-in address that was changed, and the way back that the old address was sent."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="email_changes"
    )
    public_id = models.CharField(max_length=24, unique=True)
    old = models.EmailField(max_length=254)
    new = models.EmailField(max_length=254)
    changed_at = models.DateTimeField()
    undone_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["-changed_at", "-id"]
