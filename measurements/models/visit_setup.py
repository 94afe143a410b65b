"""How one person likes the form of a visit: what they measure, and the shoes they put on.

A personal setting, without a history: it says nothing about a horse. The page offers by it and
never refuses by it.
"""

from typing import Any

from django.conf import settings
from django.db import models

LONGEST_NAME = 30  # characters of a shoe's name: it stands on a button. House default
MOST_SHOES = 12  # house default: more would hide each other


class VisitSetup(models.Model):
    """One row a person; without a row the house's own set holds (measurements/panels/visit_set.py)."""

    person = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="visit_setup"
    )
    # What is offered at first: "toe_angle-after", the quantity and the moment; and on which feet.
    measured: Any = models.JSONField(default=list, blank=True)
    feet: Any = models.JSONField(default=list, blank=True)
    # Last values are not shown before the new ones are entered.
    blind = models.BooleanField(default=False, db_default=False)
    # The person's own shoes: {"name": …, "kind": …, "size": …}, by the fields of the form.
    shoes: Any = models.JSONField(default=list, blank=True)
