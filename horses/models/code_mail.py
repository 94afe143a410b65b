"""A mail with a sign-in code, from the click that asked for it until the mail server has it."""

from django.db import models

from horses.models.base import Record


class CodeMail(Record):
    """Kept for some minutes only. What became of it is shown to the browser that asked, and to no
    other; its words go as soon as the mail server has them."""

    to = models.EmailField(max_length=254)
    subject = models.CharField(max_length=200)
    body = models.TextField(blank=True)
    asked_at = models.DateTimeField(db_index=True)
    tries = models.PositiveIntegerField(default=0, db_default=0)  # how often its code was typed
    sent_at = models.DateTimeField(null=True)
    # What the mail server answered last: a kind of horses/notices/smtp_errors.py, and its words.
    trouble = models.CharField(max_length=10, blank=True, default="", db_default="")
    answered = models.CharField(max_length=80, blank=True, default="", db_default="")
