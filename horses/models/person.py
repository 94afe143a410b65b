"""The people: everybody who signs in, whatever their role on which horse."""

from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.db import models
from django.db.models.functions import Lower

from horses.models.base import Versioned


class PersonManager(BaseUserManager["Person"]):
    def create_user(self, email: str, name: str = "", **extra: Any) -> "Person":
        person = self.model(email=self.normalize_email(email).strip(), name=name, **extra)
        person.set_unusable_password()
        person.save()
        return person

    def create_superuser(self, email: str, name: str = "", **extra: Any) -> "Person":
        return self.create_user(email, name, is_staff=True, is_superuser=True, **extra)

    def get_by_natural_key(self, username: str | None) -> "Person":
        return self.get(email__iexact=username)


class Person(AbstractBaseUser, PermissionsMixin, Versioned):
    """Someone who signs in with an email address. What they may do hangs on their memberships."""

    class LengthUnit(models.TextChoices):
        CM = "cm", "centimetres"
        MM = "mm", "millimetres"
        IN = "in", "inches"

    class WeightUnit(models.TextChoices):
        KG = "kg", "kilograms"
        LB = "lb", "pounds"

    class SideWords(models.TextChoices):
        LEFT_RIGHT = "left_right", "left and right"
        NEAR_OFF = "near_off", "near and off"

    class Paper(models.TextChoices):
        A4 = "a4", "A4"
        LETTER = "letter", "Letter"

    class MailWhen(models.TextChoices):
        AT_ONCE = "at_once", "at once, each thing by itself"
        DAILY = "daily", "once a day, together in one mail"
        URGENT = "urgent", "only what is urgent"

    class HerdView(models.TextChoices):
        LINES = "lines", "one line a horse"
        CARDS = "cards", "cards"

    email = models.EmailField(max_length=254)
    name = models.CharField(max_length=120, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    length_unit = models.CharField(max_length=2, choices=LengthUnit.choices, default=LengthUnit.CM)
    weight_unit = models.CharField(max_length=2, choices=WeightUnit.choices, default=WeightUnit.KG)
    side_words = models.CharField(
        max_length=12, choices=SideWords.choices, default=SideWords.LEFT_RIGHT
    )
    paper = models.CharField(max_length=6, choices=Paper.choices, default=Paper.A4)
    # How the list of horses opens.
    herd_view = models.CharField(
        max_length=5, choices=HerdView.choices, default=HerdView.LINES, db_default="lines"
    )
    # The program before this one reads it; `mail_when` has taken its place.
    wants_mail = models.BooleanField(default=True)
    mail_when = models.CharField(
        max_length=8, choices=MailWhen.choices, default=MailWhen.AT_ONCE, db_default="at_once"
    )
    # From and to a time of day, where the installation is; both or neither.
    quiet_from = models.TimeField(null=True, blank=True)
    quiet_to = models.TimeField(null=True, blank=True)
    # Since when mail to this address does not arrive, and why; empty once one has.
    mail_trouble_at = models.DateTimeField(null=True, blank=True)
    mail_trouble = models.CharField(max_length=200, blank=True, default="", db_default="")
    # The name was typed by whoever made the account, who may be somebody else: asked at the first
    # sign-in with a code from this address.
    name_unsure = models.BooleanField(default=False, db_default=False)
    # Since when whoever runs the installation answers for it that this account is this person's.
    known_at = models.DateTimeField(null=True, blank=True)
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField(default=False)  # runs the installation; sees no case by it
    joined_at = models.DateTimeField(auto_now_add=True)

    objects = PersonManager()

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    class Meta:
        constraints = (models.UniqueConstraint(Lower("email"), name="person_email_once"),)

    def __str__(self) -> str:
        return self.name or self.email

    def get_full_name(self) -> str:
        return str(self)
