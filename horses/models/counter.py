"""How often something was asked for: the counters of the limits (caseboard/lib/limits.py)."""

from django.db import models


class Counter(models.Model):
    """One row a counter, used again in the next window. Its name is a keyed fingerprint."""

    name = models.CharField(max_length=64, primary_key=True)
    count = models.PositiveIntegerField()
    until_s = models.BigIntegerField(db_index=True)  # seconds since 1970: when the window is over
