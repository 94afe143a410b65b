"""The four feet and how each is shod, as stored.

The words of the feet are those of caseboard.lib.words. The hoof mathematics know nobody and have feet
and shoeing of their own; a test holds them to these.
"""

from django.db import models

from caseboard.lib.words import foot_label


class Foot(models.TextChoices):
    LF = "LF", foot_label("LF")
    RF = "RF", foot_label("RF")
    LH = "LH", foot_label("LH")
    RH = "RH", foot_label("RH")


class Shoeing(models.TextChoices):
    BAREFOOT = "barefoot", "barefoot"
    SHOD = "shod", "shod"
    SHOD_WEDGE = "shod_wedge", "shod with wedge or pad"
