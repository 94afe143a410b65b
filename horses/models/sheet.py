"""Issued plan sheets: what each said, word for word, and the pages drawn from it.

Decided 2026-11:
- a sheet is issued from the state of the board that was looked at (the end of the case's history);
  a later line sends the person back to look. Kept are the content, its hash and, once a worker has
  drawn them, the pages byte for byte.
- a draft is drawn while one waits, because it is only looked at; an issued sheet is drawn by the
  outbox.
- a stranger with a sheet's code learns genuine, current or superseded, and nothing else.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models

from horses.models.base import AppendOnly
from horses.models.case import Case, Role

DRAW = "sheet.draw"  # the kind of work that draws a page; its key is "sheet:paper"


class PlanSheet(AppendOnly):
    """One sheet as it was issued. `content` is the exact text that was hashed."""

    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="sheets")
    number = models.PositiveIntegerField()  # "sheet 3" of this case
    code = models.CharField(max_length=12, unique=True)  # printed on it; the board verifies it
    content = models.TextField()
    content_hash = models.CharField(max_length=64)
    history_seq = models.PositiveIntegerField()  # how far the case's history went
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    issued_name = models.CharField(max_length=120)
    issued_role = models.CharField(max_length=10, choices=Role.choices)
    issued_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar[list[str]] = ["-number"]
        constraints = (
            models.UniqueConstraint(fields=["case", "number"], name="plan_sheet_number_once"),
        )


class SheetPaper(AppendOnly):
    """The page drawn from an issued sheet, for one paper size: a reprint is these bytes."""

    class Paper(models.TextChoices):
        A4 = "a4", "A4"
        LETTER = "letter", "Letter"

    sheet = models.ForeignKey(PlanSheet, on_delete=models.PROTECT, related_name="papers")
    paper = models.CharField(max_length=8, choices=Paper.choices)
    pdf = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    left_off = models.JSONField()  # in words: what was left off, because it did not fit on the page
    drawn_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar[list[str]] = ["id"]
        constraints = (
            models.UniqueConstraint(fields=["sheet", "paper"], name="sheet_paper_drawn_once"),
        )
