"""The animal, and its weight over time."""

from typing import ClassVar

from django.conf import settings
from django.db import models

from horses.models.base import AppendOnly, Versioned


class Horse(Versioned):
    class Sex(models.TextChoices):
        MARE = "mare", "mare"
        GELDING = "gelding", "gelding"
        STALLION = "stallion", "stallion"
        FILLY = "filly", "filly"
        COLT = "colt", "colt"

    class Use(models.TextChoices):
        RIDDEN = "ridden", "ridden, light"
        SPORT = "sport", "sport or competition"
        SCHOOL = "school", "riding school"
        DRIVEN = "driven", "driven or draught work"
        BREEDING = "breeding", "breeding"
        YOUNG = "young", "growing up"
        REST = "rest", "resting or retired"

    class Footing(models.TextChoices):
        SOFT = "soft", "soft (grass, sand)"
        MIXED = "mixed", "mixed"
        HARD = "hard", "hard or stony"

    class Turnout(models.TextChoices):
        GROUP = "group", "in a group"
        ALONE = "alone", "alone"
        STABLED = "stabled", "mostly stabled"

    class State(models.TextChoices):
        ACTIVE = "active", "in care"
        PAUSED = "paused", "paused"
        ENDED = "ended", "ended"

    class Basis(models.TextChoices):
        """What the time between two trims goes by."""

        DEFAULT = "default", "nobody has set it yet"
        TEAM = "team", "set by the team"
        AGE = "age", "by the age of a young horse"
        VET = "vet", "the vet's order"

    name = models.CharField(max_length=80)
    born_on = models.DateField(null=True, blank=True)
    sex = models.CharField(max_length=10, choices=Sex.choices, blank=True)
    breed = models.CharField(max_length=80, blank=True)
    use = models.CharField(max_length=10, choices=Use.choices, blank=True)
    footing = models.CharField(max_length=10, choices=Footing.choices, blank=True)
    turnout = models.CharField(max_length=10, choices=Turnout.choices, blank=True)
    yard = models.CharField(max_length=120, blank=True)
    handling = models.CharField(max_length=500, blank=True)
    danger = models.CharField(max_length=300, blank=True)
    held_by = models.CharField(max_length=200, blank=True)
    microchip = models.CharField(max_length=15, blank=True)
    ueln = models.CharField(max_length=15, blank=True)
    emergency_vet_name = models.CharField(max_length=120, blank=True)
    emergency_vet_phone = models.CharField(max_length=40, blank=True)
    # Everyday practice 6 to 8 weeks (common practice, no source); no more than 6 advised by
    # Lesniak et al., Animals 2017;7:29.
    interval_days = models.PositiveSmallIntegerField(default=49)
    interval_winter_days = models.PositiveSmallIntegerField(null=True, blank=True)
    interval_basis = models.CharField(max_length=8, choices=Basis.choices, default=Basis.DEFAULT)
    interval_by_name = models.CharField(max_length=120, blank=True)
    interval_by_role = models.CharField(max_length=10, blank=True)
    interval_set_on = models.DateField(null=True, blank=True)
    interval_why = models.CharField(max_length=300, blank=True)
    young_schedule = models.CharField(max_length=12, blank=True)  # a key of horses/domain/foals.py
    weaned_on = models.DateField(null=True, blank=True)
    # A pause or an ending stops every reminder at once.
    state = models.CharField(max_length=10, choices=State.choices, default=State.ACTIVE)
    state_reason = models.CharField(max_length=300, blank=True)
    state_at = models.DateTimeField(null=True, blank=True)  # empty: never, or by an earlier version
    created_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar[list[str]] = ["name", "id"]

    def __str__(self) -> str:
        return self.name

    @property
    def is_in_care(self) -> bool:
        return self.state == self.State.ACTIVE

    @property
    def has_ended(self) -> bool:
        return self.state == self.State.ENDED


class HorseWeight(AppendOnly):
    class Method(models.TextChoices):
        SCALE = "scale", "weighbridge or scale"
        TAPE = "tape", "weight tape or girth and length"
        GUESS = "guess", "estimate"

    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="weights")
    weight_kg = models.DecimalField(max_digits=9, decimal_places=4)
    entered_value = models.DecimalField(max_digits=12, decimal_places=6)
    entered_unit = models.CharField(max_length=2)
    method = models.CharField(max_length=10, choices=Method.choices)
    weighed_on = models.DateField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    recorded_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar[list[str]] = ["weighed_on", "id"]
