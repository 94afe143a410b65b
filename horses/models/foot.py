"""The four feet and how each is shod, as stored."""

from django.db import models


class Foot(models.TextChoices):
    LF = "LF", "left fore"
    RF = "RF", "right fore"
    LH = "LH", "left hind"
    RH = "RH", "right hind"


class Shoeing(models.TextChoices):
    BAREFOOT = "barefoot", "barefoot"
    SHOD = "shod", "shod"
    SHOD_WEDGE = "shod_wedge", "shod with wedge or pad"
