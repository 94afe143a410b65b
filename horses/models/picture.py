"""A picture: what it shows, when, by whom, and what it was added to.

Decided 2026-11: a picture hangs on at most one other thing (a flag, a note, a look, an examination, a
visit) and is seen by who may see that; on its own it is the team's.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.constants import LOOKUP_SEP

from horses.models.base import Record
from horses.models.case import Case, Role
from horses.models.foot import Foot
from horses.models.look import Look
from horses.models.observations import Exam, Flag, Note
from horses.models.visit import Visit
from horses.models.visit_life import MEANING

OF_ONE = ("flag", "note", "look", "exam", "visit")
FILMS = ("film_side", "film_front")
MOST_CORRECTED = 8  # corrections of one visit or examination that are followed; house default
WITH_CARD = ("side", "front", "sole")  # on which the printed card may stand


class PictureQuerySet(models.QuerySet["Picture"]):
    def kept(self) -> "PictureQuerySet":
        """Those whose file is there, as far as is known."""
        return self.filter(redacted_at=None, lost_at=None)

    def standing(self) -> "PictureQuerySet":
        """Those of them that still show this horse: what they were added to was not taken back."""
        return self.kept().of_this_horse()

    def of_this_horse(self) -> "PictureQuerySet":
        """Those that belong to nothing that was taken back; their files may be gone."""
        return self.exclude(pk__in=self.filter(_taken_back()).order_by().values("pk"))


def _taken_back() -> Q:
    """A picture stays with the version that it was added to; it is the last one that was taken back,
    or not."""
    off = [status for status, means in MEANING.items() if means.off]
    found = Q(look__taken_back_by__isnull=False)
    for later in range(MOST_CORRECTED + 1):
        exam, visit = (
            LOOKUP_SEP.join([one, *["corrected_by"] * later]) for one in ("exam", "visit")
        )
        found |= Q(**{f"{exam}__is_void": True})
        found |= Q(**{f"{visit}__status__in": off, f"{visit}__corrected_by": None})
    return found


class Picture(Record):
    """Drawn anew by us. Redacting empties the file and says so; the row stays."""

    class View(models.TextChoices):
        SIDE = "side", "from the side"
        FRONT = "front", "from the front"
        SOLE = "sole", "the sole"
        WHOLE = "whole", "the whole horse from the left"
        FILM_SIDE = "film_side", "film from the side"
        FILM_FRONT = "film_front", "film from the front"
        PLACE = "place", "the place itself"

    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="pictures")
    foot = models.CharField(max_length=2, choices=Foot.choices, blank=True)
    view = models.CharField(max_length=10, choices=View.choices)
    taken_on = models.DateField()
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    added_by_name = models.CharField(max_length=120)
    added_by_role = models.CharField(max_length=10, choices=Role.choices)
    added_at = models.DateTimeField()
    flag = models.ForeignKey(
        Flag, on_delete=models.PROTECT, null=True, blank=True, related_name="pictures"
    )
    note = models.ForeignKey(
        Note, on_delete=models.PROTECT, null=True, blank=True, related_name="pictures"
    )
    look = models.ForeignKey(
        Look, on_delete=models.PROTECT, null=True, blank=True, related_name="pictures"
    )
    exam = models.ForeignKey(
        Exam, on_delete=models.PROTECT, null=True, blank=True, related_name="pictures"
    )
    visit = models.ForeignKey(
        Visit, on_delete=models.PROTECT, null=True, blank=True, related_name="pictures"
    )
    file = models.FileField(upload_to="pictures/", blank=True)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)
    # The number of the printed card that was found in it.
    card_number = models.PositiveSmallIntegerField(null=True, blank=True)
    redacted_at = models.DateTimeField(null=True, blank=True)
    # Since when the file is known to be gone or spoilt: see horses/ledger/photo_check.py.
    lost_at = models.DateTimeField(null=True, blank=True)

    objects = PictureQuerySet.as_manager()

    class Meta:
        ordering: ClassVar[list[str]] = ["taken_on", "id"]
        indexes = (models.Index(fields=["case", "foot", "view", "taken_on"]),)
        constraints = (
            models.CheckConstraint(
                condition=Q(
                    *(
                        ~Q(**{f"{one}__isnull": False, f"{other}__isnull": False})
                        for index, one in enumerate(OF_ONE)
                        for other in OF_ONE[index + 1 :]
                    )
                ),
                name="picture_of_one_thing",
            ),
        )

    @property
    def is_film(self) -> bool:
        return self.view in FILMS

    @property
    def can_carry_points(self) -> bool:
        """Whether what it shows can be measured."""
        return self.view != self.View.PLACE

    @property
    def thing(self) -> models.Model | None:
        """What it was added to; none: it stands on its own."""
        return next((getattr(self, name) for name in OF_ONE if getattr(self, f"{name}_id")), None)

    @property
    def thing_kind(self) -> str:
        return next((name for name in OF_ONE if getattr(self, f"{name}_id")), "")
