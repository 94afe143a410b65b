"""The forms of a flag: "something's not right", the answers to it, blanking out a photo."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.html import format_html
from django.utils.safestring import SafeString

from caseboard.lib.photo import Photo
from caseboard.lib.text_safe import SafeCharField, SafeTextField
from horses.domain.signs import SIGN, SIGNS, TOGETHER_NOW, Sign, urgency
from horses.domain.wording import TEAM, Audience
from horses.forms.audience import AudienceField
from horses.forms.day_limits import day_within
from horses.forms.days import DayField, years_before
from horses.forms.keyed import KeyedForm
from horses.forms.photos import PhotosField
from horses.forms.pictures import ShownFields
from horses.models import FlagAnswer, Foot
from horses.services.pictures import MAX_PHOTOS

LONGEST_LIFE_YEARS = 40  # house default: nothing was seen on a horse longer ago
UNSURE = "unsure"
SINCE = [
    ("today", "Today"),
    ("yesterday", "Yesterday"),
    ("day", "Another day"),
    (UNSURE, "Not sure"),
]


def _choice(sign: Sign) -> tuple[str, str | SafeString]:
    return sign.key, format_html(
        "{}<small>{}</small>", sign.words, sign.hint
    ) if sign.hint else sign.words


def _signs(*ranks: str) -> list[tuple[str, str | SafeString]]:
    return [_choice(sign) for sign in SIGNS if sign.rank in ranks]


def together_now() -> str:
    """The combinations that are urgent, for the page's script: "a b+c;d+e f"."""
    return ";".join(
        "+".join(" ".join(sorted(group)) for group in pattern) for pattern in TOGETHER_NOW
    )


class FlagForm(KeyedForm):
    """What somebody saw. A sign or a few words are enough; the rest helps."""

    urgent_signs = forms.MultipleChoiceField(
        label="Urgent signs",
        choices=_signs("now"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "Tick from the list: this sign is not on it."},
    )
    signs = forms.MultipleChoiceField(
        label="What do you see?",
        choices=_signs("today", "next_visit"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "Tick from the list: this sign is not on it."},
    )
    feet = forms.MultipleChoiceField(
        label="Which foot or leg?",
        choices=[*Foot.choices, (UNSURE, "Not sure which")],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "Choose from the four feet."},
    )
    since = forms.ChoiceField(
        label="Since when?",
        choices=SINCE,
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose today, yesterday, another day or not sure."},
    )
    since_day = DayField(label="Which day", required=False)
    words = SafeTextField(
        label="In your own words", required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    photos = PhotosField(
        most=MAX_PHOTOS,
        label="Photos",
        help_text=f"Up to {MAX_PHOTOS}. The place where each was taken is removed.",
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_since_day(self) -> date | None:
        return day_within(
            self.cleaned_data["since_day"],
            first=years_before(self.today, LONGEST_LIFE_YEARS),
            last=self.today,
            early="This is very long ago. Look at the year.",
            late="This day is still to come.",
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        ticked = [*data.get("urgent_signs", []), *data.get("signs", [])]
        if not ticked and not data.get("words") and not self.errors:
            self.add_error("signs", "Tick at least one sign, or say it in a few words.")
        if (
            data.get("since") == "day"
            and not data.get("since_day")
            and "since_day" not in self.errors
        ):
            self.add_error("since_day", "Choose the day, or “not sure”.")
        return data

    @property
    def all_signs(self) -> list[str]:
        """What was ticked, urgent ones first; only words: "something else"."""
        data = self.cleaned_data
        return [*data["urgent_signs"], *data["signs"]] or ["other"]

    @property
    def named_feet(self) -> list[str]:
        return [foot for foot in self.cleaned_data["feet"] if foot != UNSURE]

    @property
    def since_on(self) -> date | None:
        since, day = self.cleaned_data["since"], self.cleaned_data["since_day"]
        near: dict[str, date | None] = {
            "today": self.today,
            "yesterday": self.today - timedelta(days=1),
            UNSURE: None,
        }
        return near.get(since, day)

    @property
    def pictures(self) -> list[Photo]:
        return list(self.cleaned_data["photos"])

    @property
    def ticked(self) -> frozenset[str]:
        """The signs ticked so far, even in a form that cannot be saved yet."""
        given = [self[name].data or [] for name in ("urgent_signs", "signs") if self.is_bound]
        return frozenset(key for keys in given for key in keys if key in SIGN)

    @property
    def is_urgent_so_far(self) -> bool:
        return urgency(self.ticked) == "now"


class AnswerForm(KeyedForm):
    """An answer to a flag, for the whole team or part of it."""

    kind = forms.ChoiceField(
        choices=[(FlagAnswer.Kind.ANSWERED, "")],
        initial=FlagAnswer.Kind.ANSWERED,
        widget=forms.HiddenInput,
        error_messages={"invalid_choice": "This is no kind of answer. Reload the page, please."},
    )
    words = SafeTextField(label="Your answer", widget=forms.Textarea(attrs={"rows": 4}))
    audience = AudienceField(initial=TEAM)

    def __init__(self, *args: Any, offered: Sequence[Audience], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["audience"]
        assert isinstance(field, AudienceField)
        field.offer(offered)


class PhonedForm(KeyedForm):
    """What the vet said on the phone, as the owner heard it. The whole team reads it."""

    kind = forms.ChoiceField(
        choices=[(FlagAnswer.Kind.VET_PHONED, "")],
        initial=FlagAnswer.Kind.VET_PHONED,
        widget=forms.HiddenInput,
    )
    words = SafeTextField(
        label="What the vet said",
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Who you spoke to, when, and what to do until then.",
    )


class PhotosForm(ShownFields, KeyedForm):
    """Photos for a flag that is there already. In a hurry nobody is asked what they show: a flag goes
    out with its own form; here it can be said, so that they can be measured and compared."""

    photos = PhotosField(
        most=MAX_PHOTOS,
        label="More photos",
        help_text=f"Up to {MAX_PHOTOS} at a time. The place where each was taken is removed.",
    )

    def __init__(self, *args: Any, role: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer_views(role)


class BlankForm(forms.Form):
    """Why a picture is blanked out."""

    reason = SafeCharField(
        label="Why it is blanked out",
        max_length=300,
        help_text="The team reads this in the history, in place of the picture.",
    )
