"""Which booked visit this one is, and the day of the next: a booked day stays unless it is moved.

Both ticks carry which booked visit they mean. A page that is opened anew, or a form that is put
back from the phone, may stand beside another one by then.

Decided 2026-11: a booked visit stays when another one is written up, unless its writer ticks that this
is that visit or moves it.

Decided 2026-11-29: the booked day that the form filled in, and nobody changed, is not the day of the next
visit once the box says that this is the booked one: the form then takes the day that it would have filled
in with the box ticked. It carries both days, so that the same form sent again says the same.
"""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any, cast

from django import forms
from django.http import QueryDict

from horses.domain.trim_cycle import interval_on
from horses.domain.wording import day_words
from horses.forms.days import DayField
from horses.models import Horse, Visit
from horses.rules.missed_visits import is_unheard

FURTHEST_NEXT = timedelta(days=730)  # house default: catches a slip in the year
NEAR_DAYS = 14  # house default: a visit this near to the planned day is most likely it
MOST_CHARACTERS = 40  # of what a tick means: an id and a version
PLANNED, NEXT_ON, MOVE, SEEN = "planned", "next_on", "move_booked", "next_seen"
OFFERED = "next_offered"
CHANGED = "The next visit was changed meanwhile. Look at it, then save again."
GONE = (
    "The booked visit that you ticked is not booked any more, or it was changed meanwhile. Look at "
    "the day of the next visit, then save again."
)


class Checkbox(forms.CheckboxInput):
    """A box to tick whose value says what it means; another value does not tick it."""

    def __init__(self, means: str) -> None:
        super().__init__(check_test=lambda value: value is True or value == means)
        self.means = means

    def format_value(self, value: Any) -> str:
        return self.means

    def value_from_datadict(self, data: Mapping[str, Any], files: Any, name: str) -> Any:
        return data.get(name) or ""


class TickField(forms.CharField):
    """Cleans to what the ticked box means, or ""."""

    def __init__(self, *, means: str, label: str, initial: bool = False) -> None:
        super().__init__(
            required=False,
            label=label,
            initial=initial,
            max_length=MOST_CHARACTERS,
            widget=Checkbox(means),
        )
        self.means = means


class NextVisit:
    """The fields of one form about the booked visit and the day of the next."""

    def __init__(self, form: forms.Form, horse: Horse, booked: Visit | None, today: date) -> None:
        self.form, self.booked, self.today = form, booked, today
        self.usual = today + timedelta(days=interval_on(horse, today).days)
        if booked is not None:
            assert booked.planned_on is not None
            near = (booked.planned_on - today).days <= NEAR_DAYS
            form.fields[PLANNED] = TickField(
                means=booked.public_id,
                initial=near,
                label=f"This is the visit planned for {day_words(booked.planned_on)}",
            )

    def add_day(self) -> None:
        """The day of the next visit stands at the end of the form."""
        booked, ahead = self.booked, self.usual
        if booked is not None and not self.form.fields[PLANNED].initial:
            ahead = booked.planned_on or ahead
        self.form.fields[NEXT_ON] = DayField(label="Next visit", required=False, initial=ahead)
        if booked is not None and booked.planned_on is not None:
            self.form.fields[OFFERED] = forms.CharField(
                required=False,
                initial=f"{ahead} {self.usual}",
                max_length=MOST_CHARACTERS,
                widget=forms.HiddenInput(attrs={"data-keep-field": True}),
            )
            self.form.fields[MOVE] = TickField(
                means=f"{booked.public_id}-{booked.version}",
                label=f"Move the visit planned for {day_words(booked.planned_on)} to this day",
            )

    @property
    def move_box(self) -> forms.BoundField | None:
        return self.form[MOVE] if MOVE in self.form.fields else None

    @property
    def planned_id(self) -> str:
        """As sent, so that the same form sent twice says the same, whatever is offered by then."""
        return str(self.form.data.get(PLANNED) or "")[:MOST_CHARACTERS]

    @property
    def moves(self) -> bool:
        return bool(self.form.data.get(MOVE)) and not self.planned_id

    @property
    def stays(self) -> Visit | None:
        """The booked visit that this one is not and that is not moved either."""
        if self.booked is None or self.planned_id or self.moves:
            return None
        return None if is_unheard(self.booked.planned_on, self.today) else self.booked

    def clean(self, day: date, *, sent_before: bool) -> None:
        """Errors stand beside the fields. A form sent twice made what it meant the first time."""
        if not sent_before:
            self._check_meant()
        self._follow_tick()
        next_on = self.form.cleaned_data.get(NEXT_ON)
        if next_on is None:
            if self.moves and not sent_before:
                self.form.add_error(NEXT_ON, "To which day is it moved?")
            return
        day_check(self.form, day, self.today)
        if NEXT_ON in self.form.cleaned_data and not sent_before:
            self._check_booked(next_on)

    def _follow_tick(self) -> None:
        """The day as it was filled in, beside the ticked box: the one after it, by the interval."""
        next_on = self.form.cleaned_data.get(NEXT_ON)
        try:
            first, after = map(date.fromisoformat, (self.form.data.get(OFFERED) or "").split())
        except ValueError:  # another form, or a changed one
            return
        if self.planned_id and next_on == first:
            self.form.cleaned_data[NEXT_ON] = after

    def _check_booked(self, next_on: date) -> None:
        """Against the booked day: one that stays, or the one that this visit is, come early."""
        booked, stays = self.booked, self.stays
        if stays and next_on not in (self.usual, stays.planned_on):
            self.form.add_error(
                NEXT_ON,
                f"A visit is planned for {day_words(stays.planned_on)} and stays. To move it, "
                "tick the box below; else write that day here.",
            )
        elif booked and (self.planned_id, next_on) == (booked.public_id, booked.planned_on):
            self.form.add_error(
                NEXT_ON,
                "That is the day of the visit that this one is. Write the day of the next, or leave "
                "it empty.",
            )

    def _check_meant(self) -> None:
        for name in (PLANNED, MOVE):
            field = self.form.fields.get(name)
            means = field.means if isinstance(field, TickField) else ""
            said = self.form.data.get(name) or ""
            if said and said != means:
                self.form.add_error(name if field else None, GONE)

    def told(self) -> str:
        """For the message after saving: what became of the day of the next visit."""
        next_on = self.form.cleaned_data.get(NEXT_ON)
        if stays := self.stays:
            return f"The visit planned for {day_words(stays.planned_on)} stays as it is."
        if self.booked is not None and self.moves:
            was = day_words(self.booked.planned_on)
            return f"The visit planned for {was} is moved to {day_words(next_on)}."
        return f"Next visit {day_words(next_on)}." if next_on else "No next visit is planned."


class NextOfCorrection:
    """The next day in the form that corrects a visit: asked about where it was planned with this
    visit and nobody has touched it since, or where none is planned."""

    planned_id, moves, move_box = "", False, None

    def __init__(
        self, form: forms.Form, own: Visit | None, planned: Visit | None, today: date
    ) -> None:
        self.form, self.own, self.planned, self.today = form, own, planned, today
        self.asked = own is not None or planned is None
        self.state = f"{own.public_id}-{own.version}" if own else ""

    def add_day(self) -> None:
        if not self.asked:
            return
        self.form.fields[NEXT_ON] = DayField(
            label="Next visit", required=False, initial=self.own.planned_on if self.own else None
        )
        self.form.fields[SEEN] = forms.CharField(
            required=False,
            initial=self.state,
            max_length=MOST_CHARACTERS,
            widget=forms.HiddenInput(attrs={"data-keep-field": True}),
        )

    def clean(self, day: date, *, sent_before: bool) -> None:
        if sent_before:
            return
        if not self.asked:
            if self.form.data.get(NEXT_ON):
                self.form.add_error(None, CHANGED)
            return
        if (self.form.data.get(SEEN) or "") != self.state:
            data = cast(QueryDict, self.form.data).copy()
            data[SEEN] = self.state
            self.form.data = data
            self.form.add_error(NEXT_ON, CHANGED)
        day_check(self.form, day, self.today)

    def told(self) -> str:
        next_on = self.form.cleaned_data.get(NEXT_ON)
        if not self.asked or next_on is None:
            return ""
        return f"Next visit {day_words(next_on)}."


def day_check(form: forms.Form, day: date, today: date) -> None:
    """The next day is after the visit, and not years ahead."""
    next_on = form.cleaned_data.get(NEXT_ON)
    if next_on is None:
        return
    if next_on <= day:
        form.add_error(NEXT_ON, "The next visit must be after this one.")
    elif next_on > today + FURTHEST_NEXT:
        form.add_error(NEXT_ON, "That is years ahead. Look at the year.")
