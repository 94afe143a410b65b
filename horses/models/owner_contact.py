"""Who a held horse belongs to: an owner without an account, by name and phone.

Decided 2026-11: a row of its own that may be emptied, and never a field of a history line, a sheet or
a notice: an owner may have what is kept of them erased, and a chain of lines cannot forget.
"""

from django.conf import settings
from django.db import models

from horses.models.base import Record
from horses.models.horse import Horse


class OwnerContact(Record):
    """Kept by whoever holds the horse; empty once it was erased or the owner has taken it over."""

    horse = models.OneToOneField(Horse, on_delete=models.PROTECT, related_name="owner_contact")
    name = models.CharField(max_length=120, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    kept_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    kept_at = models.DateTimeField()
    erased_at = models.DateTimeField(null=True, blank=True)

    @property
    def is_kept(self) -> bool:
        return self.erased_at is None and bool(self.name or self.phone)
