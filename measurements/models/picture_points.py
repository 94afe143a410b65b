"""The points that a person placed on a picture. Placed again, they are a new row: a repeat refines
what is known of the error and never replaces what was placed first.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models

from horses.models import Picture, Role
from horses.models.base import AppendOnly


class PicturePoints(AppendOnly):
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="points")
    view = models.CharField(max_length=10, choices=Picture.View.choices)
    placed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    placed_by_name = models.CharField(max_length=120)
    placed_role = models.CharField(max_length=10, choices=Role.choices)
    placed_at = models.DateTimeField()
    # By name, [x, y] in pixels of the kept picture, y downwards.
    points = models.JSONField()
    # The four corners of the card's square, clockwise from the upper left as printed; none: no card.
    card_corners = models.JSONField(null=True, blank=True)
    card_mm = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    card_by_hand = models.BooleanField(default=False, db_default=False)  # its corners were tapped
    # How much nearer to the camera than the foot's middle it was told to stand; below zero: further.
    card_nearer_mm = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    marker_mm = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)  # films
    shoe_then = models.CharField(max_length=3, blank=True, default="")
    # Placed without seeing the points of others.
    blind = models.BooleanField(default=False)

    sealed_when_set: ClassVar[frozenset[str]] = frozenset({"card_by_hand", "card_nearer_mm"})

    class Meta:
        ordering: ClassVar[list[str]] = ["id"]
