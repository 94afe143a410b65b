"""A band for one quantity on one foot."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any, cast

from django import forms
from django.http import QueryDict

from caseboard.lib.text_safe import SafeTextField
from horses.forms.day_limits import day_within
from horses.forms.days import DayField
from horses.forms.keyed import KeyedForm
from measurements.forms.values import EARLIEST_DAY, MeasureField
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES, Moment
from measurements.models import Target
from measurements.panels.offered import foot_words
from measurements.queries.numbers import Numbers
from measurements.services.targets import Band, newest_target_id
from measurements.verdicts.band_doubts import band_asked
from measurements.verdicts.judge import verdict_now
from measurements.verdicts.levels import present_level
from measurements.wording import shown_unit

SURE = "This is the band I mean"
SEE_AGAIN = "Look at the foot, the moment and the unit; if the band is meant, tick the box."
NO_END = "Write down at least one end: one alone is “or more”, or “at most”."
FURTHEST_FROM = timedelta(days=365)  # house default: a band for later than a year is a slip


class TargetForm(KeyedForm):
    """Reads a band. `may_treat`: a therapeutic one may be set; otherwise it is a routine aim.

    `seen` is the newest band that stood when the page was opened. A band that is narrower than the
    error, outside the plausible range or far from the level is asked about once; `sure_of` is the
    band that was asked about, so that a tick never counts for another one.
    """

    sure_of = forms.CharField(widget=forms.HiddenInput, max_length=120, required=False)
    seen = forms.CharField(
        widget=forms.HiddenInput(attrs={"data-keep-field": True}), max_length=16, required=False
    )

    def __init__(
        self,
        *args: Any,
        numbers: Numbers,
        length_unit: str,
        side_words: str,
        may_treat: bool,
        today: date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("seen", newest_target_id(numbers.horse))
        self.numbers, self.today, self.may_treat = numbers, today, may_treat
        self.fields |= {
            "foot": forms.ChoiceField(
                label="Foot",
                widget=forms.RadioSelect,
                choices=[(f.value, foot_words(f.value, side_words).capitalize()) for f in Foot],
                error_messages={"required": "Which foot?"},
            ),
            "quantity": forms.ChoiceField(
                label="What is measured",
                choices=[(key, of.label.capitalize()) for key, of in QUANTITIES.items()],
            ),
            "moment": forms.ChoiceField(
                label="The band holds",
                widget=forms.RadioSelect,
                initial=Moment.AFTER_TRIM.value,
                choices=[(moment.value, moment.label.capitalize()) for moment in Moment],
                error_messages={
                    "required": "Just after the trim, or at the end of the cycle, or at any time?"
                },
            ),
        }
        unit = shown_unit(self.chosen_quantity, length_unit)
        self.unit, self.asked = unit, False
        self.fields |= {
            "low": MeasureField(label="From", unit=unit),
            "high": MeasureField(label="To", unit=unit),
            "sure": forms.BooleanField(label=SURE, required=False),
            "from_on": DayField(label="From which day", initial=today),
            "reason": SafeTextField(
                label="Why",
                max_length=1000,
                widget=forms.Textarea(attrs={"rows": 3}),
                help_text="The others agree to the reason as well. The whole team reads it.",
                error_messages={"required": "Say why: the others agree to the reason as well."},
            ),
        }
        if may_treat:
            self.fields["therapeutic"] = forms.BooleanField(
                label="Part of a treatment, under the vet’s direction",
                required=False,
                initial=True,
                help_text="Only a vet changes or ends it. Untick it for a routine aim.",
            )

    @property
    def chosen_quantity(self) -> str:
        """What the page is about just now: as sent, else as opened, else the toe angle."""
        key = str(self.data.get("quantity") or self.initial.get("quantity") or "")
        return key if key in QUANTITIES else "toe_angle"

    def clean_from_on(self) -> date | None:
        return day_within(
            self.cleaned_data["from_on"],
            first=EARLIEST_DAY,
            last=self.today + FURTHEST_FROM,
            early="That is long ago. Look at the year.",
            late="That is more than a year ahead. Look at the year.",
        )

    def clean(self) -> dict[str, Any]:
        super().clean()
        self._check_ends()
        present = self.present_band()
        if present is not None and present.therapeutic and not self.may_treat:
            self.add_error("moment", "The vet has set a band for this. Ask the vet to change it.")
        if not self.errors:
            self._ask()
        return self.cleaned_data

    @property
    def _edges(self) -> tuple[Decimal | None, Decimal | None]:
        low, high = self.cleaned_data.get("low"), self.cleaned_data.get("high")
        return low and low.base, high and high.base

    def _check_ends(self) -> None:
        of = QUANTITIES[self.chosen_quantity]
        if {"low", "high"} & self.errors.keys():
            return
        low, high = self._edges
        if low is None and high is None:
            self.add_error("low", NO_END)
        if low is not None and high is not None and low >= high:
            self.add_error("high", "The lower end must be below the upper end.")
        for name, value in (("low", low), ("high", high)):
            if value is not None and not of.possible_low <= value <= of.possible_high:
                self.add_error(name, f"No horse has a {of.label} like this. Look at the unit.")

    def _ask(self) -> None:
        """Stops an odd band once, with what is odd about it; what was typed stays."""
        data = self.cleaned_data
        foot, quantity = data["foot"], data["quantity"]
        edges = [None if edge is None else float(edge) for edge in self._edges]
        level = present_level(self.numbers, foot, quantity, verdict_now(self.numbers, foot).verdict)
        asked = band_asked(
            self.numbers, foot, quantity, data["moment"], (edges[0], edges[1]), level
        )
        if not (doubts := asked.words(self.unit)):
            return
        self.asked = True
        this = ":".join([foot, quantity, data["moment"], *(str(edge) for edge in self._edges)])
        if data.get("sure") and data.get("sure_of") == this:
            return
        again = cast(QueryDict, self.data).copy()
        again[self.add_prefix("sure_of")] = this
        again.pop(self.add_prefix("sure"), None)
        self.data = again
        self.add_error("sure", " ".join([*doubts, SEE_AGAIN]))

    def present_band(self) -> Target | None:
        """The band that stands for the chosen foot, quantity and moment."""
        key = (self.cleaned_data.get("foot", ""), self.cleaned_data.get("quantity", ""))
        moment = self.cleaned_data.get("moment")
        found = (t for t in self.numbers.targets.get(key, []) if t.moment == moment)
        return next(found, None)

    def see_newest(self) -> None:
        """After a conflict: setting it once more replaces what stands now, on purpose."""
        data = cast(QueryDict, self.data).copy()  # a request's own data cannot be changed
        data[self.add_prefix("seen")] = newest_target_id(self.numbers.horse)
        self.data = data

    def band(self) -> Band:
        """The band of a valid form, in base units."""
        data = self.cleaned_data
        return Band(
            foot=data["foot"],
            quantity=data["quantity"],
            moment=data["moment"],
            low=self._edges[0],
            high=self._edges[1],
            from_on=data["from_on"],
            reason=data["reason"],
            therapeutic=bool(data.get("therapeutic")),
        )
