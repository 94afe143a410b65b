"""The sale of a horse: what passes on, who leaves, and when.

Decided 2026-11: a sale begins with its seller and ends when the buyer has joined the standing care.
Until then it can be undone. The road not taken: everybody leaves at once, and a horse stands without
an owner while a mail lies unread.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from horses.models.base import Record
from horses.models.horse import Horse


class Sale(Record):
    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="sales")
    seller = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    email = models.EmailField(max_length=254)
    begun_at = models.DateTimeField()
    leave_on = models.DateField()  # nobody leaves before this day, nor before the buyer is here
    leavers = models.JSONField(default=list)  # public ids of people, the seller's among them
    joined_at = models.DateTimeField(null=True, blank=True)  # the buyer, on the standing care
    done_at = models.DateTimeField(null=True, blank=True)
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["id"]
        constraints = (
            models.UniqueConstraint(
                fields=["horse"],
                condition=Q(done_at__isnull=True, undone_at__isnull=True),
                name="one_open_sale_a_horse",
            ),
        )
