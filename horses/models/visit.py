"""Visits, the work done on each foot, the trims, and what became of each plan item at a visit."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import OuterRef, Q, Subquery, Value
from django.db.models.functions import Coalesce

from horses.models.base import AppendOnly, Versioned
from horses.models.case import Case, Role
from horses.models.foot import Foot, Shoeing
from horses.models.horse import Horse


class Visit(Versioned):
    class Kind(models.TextChoices):
        FARRIER = "farrier", "trim or shoeing"
        VET = "vet", "vet visit"

    class Status(models.TextChoices):
        PLANNED = "planned", "planned"
        KEPT = "kept", "kept"
        CANCELLED = "cancelled", "cancelled"
        MISSED = "missed", "not written up"
        VOIDED = "voided", "taken back"  # was written up, and should not have been

    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="visits")
    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="visits")
    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.FARRIER)
    status = models.CharField(max_length=10, choices=Status.choices)
    planned_on = models.DateField(null=True, blank=True)
    kept_on = models.DateField(null=True, blank=True)
    # Who is expected, as agreed when it was planned; `person` is who came.
    planned_for = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    planned_by_role = models.CharField(max_length=10, choices=Role.choices, blank=True)
    confirmed_at = models.DateTimeField(null=True, blank=True)
    confirmed_name = models.CharField(max_length=120, blank=True)
    confirmed_role = models.CharField(max_length=10, choices=Role.choices, blank=True)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    person_role = models.CharField(max_length=10, choices=Role.choices, blank=True)
    person_name = models.CharField(max_length=120, blank=True)
    words = models.TextField(blank=True)
    status_reason = models.CharField(max_length=300, blank=True)
    recorded_at = models.DateTimeField()
    changed_at = models.DateTimeField(null=True, blank=True)  # the calendar's DTSTAMP
    # Who took it back and when, once it is; the reason is `status_reason`.
    voided_at = models.DateTimeField(null=True, blank=True)
    voided_name = models.CharField(max_length=120, blank=True, default="", db_default="")
    voided_role = models.CharField(
        max_length=10, choices=Role.choices, blank=True, default="", db_default=""
    )

    # The written-up visit in whose place this one stands; that one is VOIDED and kept.
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )

    class Meta:
        ordering: ClassVar[list[str]] = ["-kept_on", "-planned_on", "-id"]
        indexes = (
            models.Index(
                fields=["planned_on"], condition=Q(status="planned"), name="visit_planned_due"
            ),
        )

    @property
    def is_corrected(self) -> bool:
        """Whether a later version stands in its place."""
        return hasattr(self, "corrected_by")

    @property
    def is_voided(self) -> bool:
        return self.status == self.Status.VOIDED

    @property
    def is_planned(self) -> bool:
        return self.status == self.Status.PLANNED

    @property
    def is_missed(self) -> bool:
        return self.status == self.Status.MISSED

    @property
    def cancelled_because(self) -> str:
        return self.status_reason if self.status == self.Status.CANCELLED else ""

    @property
    def is_vet_visit(self) -> bool:
        return self.kind == self.Kind.VET


class FootWorkQuerySet(models.QuerySet["FootWork"]):
    def in_force(self) -> "FootWorkQuerySet":
        """The work of the visits that were kept: that of one taken back was never done."""
        return self.filter(visit__status=Visit.Status.KEPT)


class FootWork(AppendOnly):
    """What was done on one foot at one visit, and how the foot was left."""

    class Shoe(models.TextChoices):
        NONE = "none", "no shoe work"
        NEW = "new", "new shoe"
        RESET = "reset", "shoe reset"
        PULLED = "pulled", "shoe taken off"

    class Kind(models.TextChoices):
        PLAIN = "plain", "plain"
        FULLERED = "fullered", "fullered"
        WIDE = "wide", "wide web"
        ROLLED = "rolled", "rolled or rocker toe"
        BAR = "bar", "bar shoe"
        OTHER = "other", "another kind"

    class Material(models.TextChoices):
        STEEL = "steel", "steel"
        ALUMINIUM = "aluminium", "aluminium"
        SYNTHETIC = "synthetic", "plastic or rubber"

    class Pad(models.TextChoices):
        FLAT = "flat", "flat pad"
        RIM = "rim", "rim pad"
        WEDGE = "wedge", "wedge pad"
        FILLED = "filled", "pad and packing"

    class Clips(models.TextChoices):
        NONE = "none", "no clips"
        TOE = "toe", "toe clip"
        SIDE = "side", "side clips"

    class Studs(models.TextChoices):
        NONE = "none", "no studs"
        HOLES = "holes", "stud holes"
        ROAD = "road", "road studs or pins"
        OUTSIDE = "outside", "stud outside only"

    class Wear(models.TextChoices):
        EVEN = "even", "even"
        INSIDE = "inside", "more inside"
        OUTSIDE = "outside", "more outside"
        TOE = "toe", "more at the toe"
        SQUARED = "squared", "toe worn square"

    class Landing(models.TextChoices):
        FLAT = "flat", "flat"
        HEEL = "heel", "heel first"
        TOE = "toe", "toe first"
        INSIDE = "inside", "inside first"
        OUTSIDE = "outside", "outside first"

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="work")
    foot = models.CharField(max_length=2, choices=Foot.choices)
    trimmed = models.BooleanField()
    shoe = models.CharField(max_length=8, choices=Shoe.choices, default=Shoe.NONE)
    shoe_words = models.CharField(max_length=200, blank=True)
    # What the shoe is; empty where it was not said.
    kind = models.CharField(max_length=10, choices=Kind.choices, blank=True)
    material = models.CharField(max_length=10, choices=Material.choices, blank=True)
    size = models.CharField(max_length=20, blank=True)  # makers count differently: as written
    pad = models.CharField(max_length=8, choices=Pad.choices, blank=True)
    clips = models.CharField(max_length=8, choices=Clips.choices, blank=True)
    studs = models.CharField(max_length=8, choices=Studs.choices, blank=True)
    nails = models.PositiveSmallIntegerField(null=True, blank=True)  # 0: glued or cuffed on
    # What was found: how the shoe or toe has worn since last time, how the foot lands.
    wear = models.CharField(max_length=8, choices=Wear.choices, blank=True)
    landing = models.CharField(max_length=8, choices=Landing.choices, blank=True)
    wedge_deg = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    shoeing_left = models.CharField(max_length=12, choices=Shoeing.choices)
    words = models.CharField(max_length=500, blank=True)

    objects = FootWorkQuerySet.as_manager()

    class Meta:
        ordering: ClassVar[list[str]] = ["id"]
        constraints = (
            models.UniqueConstraint(fields=["visit", "foot"], name="foot_work_once_a_visit"),
        )

    @property
    def has_shoe_work(self) -> bool:
        return self.shoe != self.Shoe.NONE

    @property
    def shoe_line(self) -> str:
        """ "plain steel, size 5, toe clip, 7 nails, wedge 2°": the shoe as one line."""
        nails = {None: "", 0: "glued or cuffed on"}.get(self.nails, f"{self.nails} nails")
        kind = " ".join(filter(None, (self.get_kind_display(), self.get_material_display())))
        parts = [
            kind,
            f"size {self.size}" if self.size else "",
            self.get_pad_display(),
            f"wedge {self.wedge_deg:g}°" if self.wedge_deg is not None else "",
            self.get_clips_display() if self.clips != self.Clips.NONE else "",
            self.get_studs_display() if self.studs != self.Studs.NONE else "",
            nails,
            self.shoe_words,
        ]
        return ", ".join(filter(None, parts))


class TrimQuerySet(models.QuerySet["Trim"]):
    def in_force(self) -> "TrimQuerySet":
        """The trims that were: those last said to be a mistake are left out."""
        said = TrimEvent.objects.filter(trim=OuterRef("pk")).order_by("-pk").values("stands")
        return self.annotate(stands=Coalesce(Subquery(said[:1]), Value(True))).filter(stands=True)


class Trim(AppendOnly):
    """One foot trimmed on one day: the moment from which growth is counted."""

    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="trims")
    foot = models.CharField(max_length=2, choices=Foot.choices)
    trimmed_on = models.DateField()
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, null=True, blank=True)
    recorded_at = models.DateTimeField()

    objects = TrimQuerySet.as_manager()

    class Meta:
        ordering: ClassVar[list[str]] = ["trimmed_on", "id"]
        constraints = (
            models.UniqueConstraint(fields=["horse", "foot", "trimmed_on"], name="trim_once_a_day"),
        )


class TrimEvent(AppendOnly):
    """Whether a trim was after all. The newest counts; without one the trim stands."""

    stored_as: ClassVar[str] = "horses.TrimWord"

    trim = models.ForeignKey(Trim, on_delete=models.PROTECT, related_name="said")
    stands = models.BooleanField()
    said_at = models.DateTimeField()

    class Meta:
        db_table = "horses_trimword"
        ordering: ClassVar[list[str]] = ["id"]
