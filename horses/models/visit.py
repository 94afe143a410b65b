"""Visits, the work done on each foot, the trims, and what became of each plan item at a visit.

Decided 2026-11:
- a trim counts while a reading or work refers to it. Taking the last of them off takes the trim
  back, by a new row.
- a visit on the wrong horse is taken back whole (`visit_void`). The row stays, struck through, with
  who, when and why; its readings get a row that takes them off, its trims an event, its marks on
  plan items do not count, its lost-shoe flag opens again by an answer of its own kind. Only its
  writer may, so that nobody undoes another's record; a colleague only once the writer has gone.
  Where the writer names the right horse, the same transaction writes the visit up there
  (`visit_to_other_horse`); neither team reads of the other horse.
- a visit is corrected by a new row (`Visit.corrects`), and the one before is voided, so that
  whatever reads written-up visits needs no case of its own. The road not taken: versions of one
  row, where each of its parts would need to say which version it belongs to. Readings that did not
  change stay on the version before (`visit_readings` reads all versions). The first `recorded_at`
  stays, so that a shoe lost since is still lost. Only the writer corrects, also once they are gone:
  a colleague takes back and writes anew, in their own name.
- a report, the word of somebody who did not do the work, is a visit without work on its feet: "as
  before" is all that it says, and what nobody saw is not made up. Its four trims count. Whoever did
  the work confirms it in a row of its own, which stands in its place (`corrects`), so that who said
  what and when is never lost; the report's row keeps `reported_by` and the moment.
- a confirmation is no new version of a visit, because it changes nobody's words. Moving a day that
  was confirmed meanwhile goes through and has it confirmed anew; the calendar's SEQUENCE counts
  both.
"""

from datetime import date, datetime
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef, Q, Subquery, Value
from django.db.models.functions import Coalesce

from horses.models.base import AppendOnly, Versioned
from horses.models.case import Case, Role
from horses.models.foot import Foot, Shoeing
from horses.models.horse import Horse
from horses.models.visit_life import LIFE, MEANING, Meaning, VisitChange, VisitStatus, status_after


def _later_one() -> "VisitQuerySet":
    """Of the visit outside: one of its kind that took place on its day or after."""
    return Visit.objects.took_place().filter(
        horse=OuterRef("horse"), kind=OuterRef("kind"), kept_on__gte=OuterRef("planned_on")
    )


class VisitQuerySet(models.QuerySet["Visit"]):
    def planned(self) -> "VisitQuerySet":
        return self.filter(status=VisitStatus.PLANNED)

    def kept(self) -> "VisitQuerySet":
        """Those whose work counts."""
        return self.filter(status=VisitStatus.KEPT)

    def took_place(self) -> "VisitQuerySet":
        """By the word of whoever did the work, or as somebody else reported."""
        return self.filter(status__in=[s for s, means in MEANING.items() if means.took_place])

    def reported(self) -> "VisitQuerySet":
        """Those that whoever did the work has not confirmed yet."""
        return self.filter(status=VisitStatus.REPORTED)

    def missed(self) -> "VisitQuerySet":
        return self.filter(status=VisitStatus.MISSED)

    def missed_or_denied(self) -> "VisitQuerySet":
        """Those that the farrier may still say they were there for."""
        return self.filter(status__in=[VisitStatus.MISSED, VisitStatus.NOT_KEPT])

    def denied(self) -> "VisitQuerySet":
        """Those of which somebody said that they did not take place."""
        return self.filter(status=VisitStatus.NOT_KEPT)

    def asked_about(self, today: date) -> "VisitQuerySet":
        """Those whose day has passed and of which nobody has said what became of them; none once a
        later one took place."""
        passed = Q(status=VisitStatus.PLANNED, planned_on__lt=today)
        unsaid = self.filter(passed | Q(status=VisitStatus.MISSED), ~Exists(_later_one()))
        return unsaid.order_by("-planned_on", "-pk")

    def with_answered(self) -> "VisitQuerySet":
        """With `answered`: whether a later one took place, so that nobody is asked about this one."""
        return self.annotate(answered=Exists(_later_one()))

    def written_up(self) -> "VisitQuerySet":
        """Those kept, and those struck through: taken back, or corrected since."""
        return self.filter(status__in=[s for s, means in MEANING.items() if means.written_up])

    def counting(self) -> "VisitQuerySet":
        """Those that were or will be, as far as anybody knows."""
        return self.exclude(status__in=[s for s, means in MEANING.items() if means.off])

    def on_the_board(self) -> "VisitQuerySet":
        """Those still to come, and then those written up, the last one first."""
        told = [
            s for s, means in MEANING.items() if means.ahead or means.took_place or means.written_up
        ]
        ahead = [s for s, means in MEANING.items() if means.ahead]
        ahead_first = models.Case(models.When(status__in=ahead, then=Value(0)), default=Value(1))
        # A report that was confirmed or corrected: the row in its place names it.
        replaced = Q(status=VisitStatus.VOIDED, person=None, corrected_by__isnull=False)
        return self.filter(~replaced, status__in=told).order_by(ahead_first, "-kept_on", "-pk")


# Who does the work of a visit.
ROLE_OF_KIND = {"farrier": Role.FARRIER, "vet": Role.VET}


class Visit(Versioned):
    class Kind(models.TextChoices):
        FARRIER = "farrier", "trim or shoeing"
        VET = "vet", "vet visit"

    Status = VisitStatus

    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="visits")
    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="visits")
    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.FARRIER)
    status = models.CharField(max_length=10, choices=Status.choices)
    planned_on = models.DateField(null=True, blank=True)
    # The clock where the horse stands, if a time was said, and in which zone that clock goes. Kept as
    # said: a place that changes its zone moves no visit.
    planned_time = models.TimeField(null=True, blank=True)
    planned_zone = models.CharField(max_length=40, blank=True, default="", db_default="")
    # Where it stands in the day of whoever comes; empty: behind those that have a place.
    day_order = models.PositiveSmallIntegerField(null=True, blank=True)
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

    # Who said that it took place without having done the work, and when; kept when it is confirmed.
    reported_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    reported_name = models.CharField(max_length=120, blank=True, default="", db_default="")
    reported_role = models.CharField(
        max_length=10, choices=Role.choices, blank=True, default="", db_default=""
    )
    reported_at = models.DateTimeField(null=True, blank=True)

    # The written-up visit, or the report, in whose place this one stands; that one is VOIDED and kept.
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )

    objects = VisitQuerySet.as_manager()

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
    def is_replaced_report(self) -> bool:
        """A report that whoever did the work confirmed or corrected: their row names it."""
        return self.is_voided and self.person_id is None and self.is_corrected

    @property
    def means(self) -> Meaning:
        return MEANING[VisitStatus(self.status)]

    @property
    def is_planned(self) -> bool:
        return self.status == VisitStatus.PLANNED

    @property
    def is_kept(self) -> bool:
        return self.status == VisitStatus.KEPT

    @property
    def is_reported(self) -> bool:
        """Somebody else's word, not confirmed yet by whoever did the work."""
        return self.status == VisitStatus.REPORTED

    @property
    def is_denied(self) -> bool:
        return self.status == VisitStatus.NOT_KEPT

    @property
    def word_of(self) -> str:
        """ "reported by Dorrit, not yet confirmed by Gus"; of a confirmed one, whose word came
        first; nothing of one that was written up."""
        if not self.reported_name:
            return ""
        if not self.is_reported:
            return f"first reported by {self.reported_name}"
        if self.reported_by_id == self.planned_for_id:
            return f"reported by {self.reported_name}"
        by = self.planned_for or f"a {ROLE_OF_KIND[self.kind]}"
        return f"reported by {self.reported_name}, not yet confirmed by {by}"

    @property
    def is_cancelled(self) -> bool:
        return self.status == VisitStatus.CANCELLED

    @property
    def is_missed(self) -> bool:
        return self.status == VisitStatus.MISSED

    @property
    def is_voided(self) -> bool:
        """Struck through: taken back, or another version stands in its place."""
        return self.status == VisitStatus.VOIDED

    @property
    def cancelled_because(self) -> str:
        return self.status_reason if self.is_cancelled else ""

    @property
    def is_vet_visit(self) -> bool:
        return self.kind == self.Kind.VET

    @property
    def planned_words(self) -> str:
        """ "1 December 2026 at 9:30"."""
        if self.planned_on is None:
            return ""
        at = f" at {self.planned_time:%-H:%M}" if self.planned_time else ""
        return f"{self.planned_on:%-d %b %Y}{at}"

    def may_turn(self, change: VisitChange) -> bool:
        return change in LIFE[VisitStatus(self.status)]

    def turn(self, change: VisitChange, now: datetime) -> None:
        """What the change makes of it, as a new version; whoever writes it down saves it."""
        self.status = status_after(self.status, change)
        self.version, self.changed_at = self.version + 1, now


class FootWorkQuerySet(models.QuerySet["FootWork"]):
    def in_force(self) -> "FootWorkQuerySet":
        """The work of the visits that were kept: that of one taken back was never done."""
        return self.filter(visit__status=VisitStatus.KEPT)


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
