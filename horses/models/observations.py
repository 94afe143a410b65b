"""What people saw and said: flags with their answers, notes, examinations, soundness.

Decided 2026-11:
- a private answer leaves a flag open when the side that raised it cannot read the words.
- an examination is corrected like a reading, by a later row; it is taken back by a later row that
  is void. `exams_for` and `soundness_for` return those in force.
"""

from typing import ClassVar

from django.conf import settings
from django.db import models

from horses.domain.signs import SIGN
from horses.models.base import AppendOnly
from horses.models.case import Case, Role
from horses.models.foot import Foot
from horses.models.horse import Horse


class Flag(AppendOnly):
    """An observation: "not quite right". Its answers are rows of their own."""

    class Urgency(models.TextChoices):
        NOW = "now", "phone your vet now"
        TODAY = "today", "today"
        NEXT_VISIT = "next_visit", "at the next visit"

    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="flags")
    raised_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    raised_role = models.CharField(max_length=10, choices=Role.choices)
    raised_at = models.DateTimeField()
    signs = models.JSONField()  # list of sign keys, see horses/domain/signs.py
    feet = models.JSONField()  # list of foot codes; empty: not sure which
    since_on = models.DateField(null=True, blank=True)
    words = models.TextField(blank=True)
    urgency = models.CharField(max_length=10, choices=Urgency.choices)

    class Meta:
        ordering: ClassVar[list[str]] = ["-raised_at", "-id"]

    @property
    def sign_words(self) -> list[str]:
        return [SIGN[key].words for key in self.signs]

    @property
    def is_urgent(self) -> bool:
        return self.urgency == self.Urgency.NOW

    @property
    def is_for_today(self) -> bool:
        return self.urgency == self.Urgency.TODAY

    @property
    def says_shoe_lost(self) -> bool:
        return "lost_shoe" in self.signs


class FlagAnswer(AppendOnly):
    class Kind(models.TextChoices):
        ANSWERED = "answered", "answered"
        VET_PHONED = "vet_phoned", "what the vet said on the phone"
        SHOE_BACK = "shoe_back", "what became of the lost shoe"
        REOPENED = "reopened", "open again"  # what had closed it was taken back

    flag = models.ForeignKey(Flag, on_delete=models.PROTECT, related_name="answers")
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    answered_role = models.CharField(max_length=10, choices=Role.choices)
    answered_at = models.DateTimeField()
    kind = models.CharField(max_length=12, choices=Kind.choices)
    words = models.TextField(blank=True)  # words for the whole team; a scoped answer is a note
    note = models.ForeignKey("Note", on_delete=models.PROTECT, null=True, blank=True)
    closes = models.BooleanField()  # whether this answer was of a kind that closes the flag

    @property
    def is_by_phone(self) -> bool:
        """What the vet said on the phone."""
        return self.kind == self.Kind.VET_PHONED

    @property
    def is_of_the_shoe(self) -> bool:
        return self.kind == self.Kind.SHOE_BACK

    @property
    def did_words(self) -> str:
        """What whoever answered did: "<name> answered"."""
        return {
            self.Kind.VET_PHONED: "wrote down what the vet said on the phone",
            self.Kind.SHOE_BACK: "wrote down what became of the shoe",
            self.Kind.REOPENED: "opened it again",
        }.get(self.Kind(self.kind), "answered")


class Note(AppendOnly):
    """Text with an audience. Never edited: corrected by a later note."""

    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="notes")
    author = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    author_role = models.CharField(max_length=10, choices=Role.choices)
    # Role names between commas, ",farrier,vet,", so that "holds this role" is one plain LIKE on
    # both databases. The whole team is all four.
    audience = models.CharField(max_length=60)
    body = models.TextField()
    written_at = models.DateTimeField()
    flag = models.ForeignKey(
        Flag, on_delete=models.PROTECT, null=True, blank=True, related_name="notes"
    )
    corrects = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrections"
    )

    class Meta:
        ordering: ClassVar[list[str]] = ["-written_at", "-id"]

    @property
    def audience_roles(self) -> list[str]:
        return [role for role in self.audience.split(",") if role]


class ExamQuerySet(models.QuerySet["Exam"]):
    def in_force(self) -> "ExamQuerySet":
        """Those in force: not corrected by a later one, and not taken back."""
        return self.filter(corrected_by=None, is_void=False)


class Exam(AppendOnly):
    """A vet's examination: what was felt and seen on the day. A correction is a later row that
    names this one; with `is_void` it takes it back."""

    sealed_when_set = frozenset({"corrects_id", "correction_reason", "is_void"})

    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="exams")
    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="exams")
    examined_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    examined_at = models.DateTimeField()
    words = models.TextField(blank=True)
    recorded_at = models.DateTimeField()
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    correction_reason = models.CharField(max_length=300, blank=True, default="", db_default="")
    is_void = models.BooleanField(default=False, db_default=False)

    objects = ExamQuerySet.as_manager()

    class Meta:
        ordering: ClassVar[list[str]] = ["-examined_at", "-id"]


class ExamFoot(AppendOnly):
    class Pulse(models.IntegerChoices):
        # 0 to 3, from memory; both sides are compared.
        NORMAL = 0, "barely felt"
        SLIGHT = 1, "slightly up"
        UP = 2, "clearly up"
        BOUNDING = 3, "bounding"

    class Testers(models.TextChoices):
        # from memory; a description of the reaction, not a measure.
        NONE = "none", "no reaction"
        MILD = "mild", "mild"
        CLEAR = "clear", "clear"
        SEVERE = "severe", "strong withdrawal"

    exam = models.ForeignKey(Exam, on_delete=models.PROTECT, related_name="feet")
    foot = models.CharField(max_length=2, choices=Foot.choices)
    pulse = models.PositiveSmallIntegerField(choices=Pulse.choices, null=True, blank=True)
    testers = models.CharField(max_length=8, choices=Testers.choices, blank=True)
    testers_where = models.CharField(max_length=80, blank=True)


class SoundnessQuerySet(models.QuerySet["Soundness"]):
    def in_force(self) -> "SoundnessQuerySet":
        """The grades in force: not those of an examination that was corrected or taken back."""
        replaced = models.Q(exam__corrected_by__isnull=False)
        return self.exclude(replaced)


class Soundness(AppendOnly):
    """The lameness grade on one day: the outcome is the horse, not the angle."""

    class Scale(models.TextChoices):
        AAEP = "aaep", "AAEP 0 to 5"
        TEN = "ten", "0 to 10"

    horse = models.ForeignKey(Horse, on_delete=models.PROTECT, related_name="soundness")
    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="soundness")
    exam = models.ForeignKey(
        Exam, on_delete=models.PROTECT, null=True, blank=True, related_name="soundness"
    )
    seen_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    seen_role = models.CharField(max_length=10, choices=Role.choices)
    seen_on = models.DateField()
    scale = models.CharField(max_length=5, choices=Scale.choices)
    grade = models.PositiveSmallIntegerField()
    surface = models.CharField(max_length=80, blank=True)
    painkiller = models.CharField(max_length=120, blank=True)
    painkiller_on = models.DateField(null=True, blank=True)
    recorded_at = models.DateTimeField()

    objects = SoundnessQuerySet.as_manager()

    class Meta:
        ordering: ClassVar[list[str]] = ["-seen_on", "-id"]
