"""Pictures in a form: the files, and once for all of them which foot and from where.

`PictureFields` goes beside the fields of any form; its page includes `parts/picture_fields.html`.
"""

from datetime import date
from typing import Any

from django import forms
from django.utils.html import format_html
from django.utils.safestring import SafeString

from horses.domain.picture_views import CARD, GUIDE, GUIDES, SAFE, ViewGuide, offered
from horses.forms.day_limits import day_within
from horses.forms.days import DayField, years_before
from horses.forms.keyed import KeyedForm
from horses.forms.photos import ACCEPTED_OF_VETS, CHOOSE_AGAIN, PhotosField
from horses.models import Foot, Role
from horses.services.pictures import MAX_PHOTOS, NO_FILMS, Shown, Taken

LONGEST_LIFE_YEARS = 40  # house default
WHICH_FOOT = "Choose the foot that it shows."
NOT_A_VIEW = "Choose from the list what it shows."


def _choice(guide: ViewGuide) -> tuple[str, SafeString]:
    return guide.key, format_html("{}<small>{}</small>", guide.words, guide.how)


class ShownFields(forms.Form):
    """Once for all pictures of a form: what they show. `FILES` is the name of the field they are in."""

    FILES = "photos"

    picture_view = forms.ChoiceField(
        label="What do they show?",
        choices=[_choice(guide) for guide in GUIDES],
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": NOT_A_VIEW},
    )
    picture_foot = forms.ChoiceField(
        label="Which foot?",
        choices=[*Foot.choices, ("", "No one foot")],
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose from the four feet."},
    )

    safe, card = SAFE, CARD

    def offer_views(self, role: str) -> None:
        field = self.fields["picture_view"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [_choice(guide) for guide in offered(vet=role == Role.VET)]
        field.error_messages["invalid_choice"] = NO_FILMS if role != Role.VET else NOT_A_VIEW
        if role == Role.VET:
            self.fields[self.FILES].widget.attrs["accept"] = ACCEPTED_OF_VETS

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get(self.FILES):
            self._clean_shown(data)
        return data

    def _clean_shown(self, data: dict[str, Any]) -> None:
        guide = GUIDE.get(data.get("picture_view") or "place")
        needs_foot = guide and (guide.of_a_foot or guide.vet_only)
        if needs_foot and not data.get("picture_foot") and "picture_foot" not in self.errors:
            self.add_error("picture_foot", WHICH_FOOT)

    def shown(self, on: date | None = None) -> Shown:
        """`on`: the day of what they belong to."""
        data = self.cleaned_data
        view, foot = data.get("picture_view") or "place", data.get("picture_foot") or ""
        return Shown(view, "" if view == "whole" else foot, on)


class PictureFields(ShownFields):
    """Up to three pictures of one thing. Nothing is asked of whoever adds none."""

    FILES = "pictures"

    pictures = PhotosField(
        most=MAX_PHOTOS,
        label="Pictures",
        help_text=f"Up to {MAX_PHOTOS} of the same. The place where each was taken is removed.",
    )

    @property
    def pictures_open(self) -> bool:
        """Whether the folded part stands open: something in it is wrong."""
        return bool({"pictures", "picture_view", "picture_foot"} & set(self.errors))

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        self.ask_to_choose_again()
        return data

    def ask_to_choose_again(self) -> None:
        """Where anything is wrong: a form that finds more of it later asks once more."""
        if self.files and self.errors and "pictures" not in self.errors:
            self.add_error("pictures", CHOOSE_AGAIN)

    def taken(self, on: date | None = None) -> Taken:
        """What was sent; `on`: the day of what it belongs to."""
        return Taken(list(self.cleaned_data.get("pictures") or []), self.shown(on))


class PictureForm(PictureFields, KeyedForm):
    """Pictures by themselves, or for a thing that is there already."""

    on = DayField(label="Taken on")

    def __init__(self, *args: Any, today: date, role: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.initial.setdefault("on", today)
        self.offer_views(role)

    def clean_on(self) -> date | None:
        return day_within(
            self.cleaned_data["on"],
            first=years_before(self.today, LONGEST_LIFE_YEARS),
            last=self.today,
            early="This is very long ago. Look at the year.",
            late="This day is still to come.",
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if not data.get("pictures") and "pictures" not in self.errors:
            self.add_error("pictures", "Choose a picture first.")
        return data
