"""All stored things of the numbers, one file a subject."""

from measurements.models.choices import (
    METHOD_CHOICES,
    MOMENT_CHOICES,
    QUANTITY_CHOICES,
    TRIM_CHOICES,
)
from measurements.models.picture_points import PicturePoints
from measurements.models.reading import EnteredHow, Reading, ShoeThen
from measurements.models.target import Target
from measurements.models.verdict import FootVerdict
from measurements.models.visit_setup import VisitSetup

__all__ = [
    "METHOD_CHOICES",
    "MOMENT_CHOICES",
    "QUANTITY_CHOICES",
    "TRIM_CHOICES",
    "EnteredHow",
    "FootVerdict",
    "PicturePoints",
    "Reading",
    "ShoeThen",
    "Target",
    "VisitSetup",
]
