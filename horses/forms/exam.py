"""A vet's examination: the grade of the day, the pulse and the hoof testers foot by foot."""

from datetime import date, datetime, time
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils import timezone
from django.utils.html import format_html

from caseboard.lib.text_safe import SafeCharField, SafeTextField
from horses.forms.day_limits import day_within
from horses.forms.days import DayField, years_before
from horses.forms.keyed import KeyedForm
from horses.forms.pictures import PictureFields
from horses.models import Exam, ExamFoot, Foot, Role, Soundness
from horses.services.exams import FootFound, Grade

LONGEST_LIFE_YEARS = 40  # house default
# American Association of Equine Practitioners, lameness scale; in our own short words.
AAEP_WORDS = {
    0: "none seen",
    1: "hard to see and not constant",
    2: "hard to see at the walk or the straight trot, but constant in some situation",
    3: "constant at the trot",
    4: "obvious at the walk",
    5: "little or no weight on it, or cannot move",
}
# Common practice, no source.
TEN_WORDS = "0 is sound, 1 to 3 mild, 4 to 6 moderate, 7 to 10 severe."
NOT_LOOKED = "not looked at"
PULSES = [("", NOT_LOOKED), *((str(p.value), f"{p.value}, {p.label}") for p in ExamFoot.Pulse)]
TESTERS = [("", NOT_LOOKED), *ExamFoot.Testers.choices]
GRADES_AAEP = [
    ("", "Not graded on this scale"),
    *((str(g), format_html("{}<small>{}</small>", g, words)) for g, words in AAEP_WORDS.items()),
]
GRADES_TEN = [("", "Not graded on this scale"), *((str(g), str(g)) for g in range(11))]
NOT_ON_SCALE = {"invalid_choice": "This is not a grade of this scale."}


class ExamForm(KeyedForm):
    """One examination. The two scales are kept apart: a grade is never turned into the other."""

    on = DayField(label="Examined on")
    aaep = forms.ChoiceField(
        label="Lameness, AAEP scale 0 to 5",
        choices=GRADES_AAEP,
        required=False,
        widget=forms.RadioSelect,
        error_messages=NOT_ON_SCALE,
    )
    ten = forms.ChoiceField(
        label="Or on the scale 0 to 10",
        choices=GRADES_TEN,
        required=False,
        help_text=TEN_WORDS,
        error_messages=NOT_ON_SCALE,
    )
    surface = SafeCharField(
        label="Seen on which surface",
        required=False,
        max_length=80,
        help_text="Hard or soft, straight or circle, which rein.",
    )
    painkiller = SafeCharField(
        label="Last painkiller",
        required=False,
        max_length=120,
        help_text="Which one. It hides what is being graded.",
    )
    painkiller_on = DayField(label="Given on", required=False)
    words = SafeTextField(
        label="Findings", required=False, widget=forms.Textarea(attrs={"rows": 5})
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.initial.setdefault("on", today)
        for foot in Foot:
            self._add_foot(foot)

    def _add_foot(self, foot: Foot) -> None:
        self.fields[f"{foot}_pulse"] = forms.ChoiceField(
            label="Pulse",
            choices=PULSES,
            required=False,
            error_messages={"invalid_choice": "Choose from 0 to 3."},
        )
        self.fields[f"{foot}_testers"] = forms.ChoiceField(
            label="Hoof testers",
            choices=TESTERS,
            required=False,
            error_messages={"invalid_choice": "Choose one of the reactions listed."},
        )
        self.fields[f"{foot}_where"] = SafeCharField(
            label="Where it reacts", required=False, max_length=80
        )

    def feet(self) -> list[tuple[str, list[BoundField]]]:
        """Each foot with its three fields, for the page."""
        names = ("pulse", "testers", "where")
        return [(foot.value, [self[f"{foot}_{name}"] for name in names]) for foot in Foot]

    def _past(self, name: str) -> date | None:
        return day_within(
            self.cleaned_data[name],
            first=years_before(self.today, LONGEST_LIFE_YEARS),
            last=self.today,
            early="This is very long ago. Look at the year.",
            late="This day is still to come.",
        )

    def clean_on(self) -> date | None:
        return self._past("on")

    def clean_painkiller_on(self) -> date | None:
        return self._past("painkiller_on")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        self._clean_grade(data)
        for foot in Foot:
            if data.get(f"{foot}_where") and not data.get(f"{foot}_testers"):
                self.add_error(f"{foot}_testers", "Say how strongly it reacts there.")
        if not self.errors and not self._says_anything(data):
            self.add_error("words", "Nothing is filled in yet: a grade, a foot or a few words.")
        return data

    def _clean_grade(self, data: dict[str, Any]) -> None:
        graded = data.get("aaep") or data.get("ten") or {"aaep", "ten"} & set(self.errors)
        if data.get("aaep") and data.get("ten"):
            self.add_error("ten", "Grade on one scale only: the two are never converted.")
        if (data.get("surface") or data.get("painkiller")) and not graded:
            self.add_error("aaep", "Give the grade that the surface and the painkiller go with.")
        if data.get("painkiller_on") and not data.get("painkiller"):
            self.add_error("painkiller", "Say which painkiller was given that day.")

    def _says_anything(self, data: dict[str, Any]) -> bool:
        own = {"client_key", "on"}
        return any(value for name, value in data.items() if name not in own)

    @property
    def grade(self) -> Grade | None:
        data = self.cleaned_data
        scale = Soundness.Scale.AAEP if data["aaep"] else Soundness.Scale.TEN
        value = data["aaep"] or data["ten"]
        if not value:
            return None
        return Grade(
            scale=scale,
            grade=int(value),
            surface=data["surface"],
            painkiller=data["painkiller"],
            painkiller_on=data["painkiller_on"],
        )

    @property
    def found(self) -> list[FootFound]:
        return [self._found_on(foot) for foot in Foot]

    def _found_on(self, foot: Foot) -> FootFound:
        pulse = self.cleaned_data[f"{foot}_pulse"]
        return FootFound(
            foot=foot.value,
            pulse=int(pulse) if pulse else None,
            testers=self.cleaned_data[f"{foot}_testers"],
            testers_where=self.cleaned_data[f"{foot}_where"],
        )

    def examined_at(self, now: datetime) -> datetime:
        """Today: now. An earlier day: its noon, for only the day is known."""
        on: date = self.cleaned_data["on"]
        if on == self.today:
            return now
        return timezone.make_aware(datetime.combine(on, time(12)))


def exam_filled(exam: Exam) -> dict[str, Any]:
    """What the fields of the form hold for an examination that was written down."""
    filled: dict[str, Any] = {
        "on": timezone.localtime(exam.examined_at).date(),
        "words": exam.words,
    }
    for grade in exam.soundness.all():
        scale = "aaep" if grade.scale == Soundness.Scale.AAEP else "ten"
        filled |= {
            scale: str(grade.grade),
            "surface": grade.surface,
            "painkiller": grade.painkiller,
            "painkiller_on": grade.painkiller_on,
        }
    for found in exam.feet.all():
        pulse = "" if found.pulse is None else str(found.pulse)
        filled |= {
            f"{found.foot}_pulse": pulse,
            f"{found.foot}_testers": found.testers,
            f"{found.foot}_where": found.testers_where,
        }
    return filled


class ExamNewForm(PictureFields, ExamForm):
    """A new one, with its pictures and films."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer_views(Role.VET)  # nobody else examines

    def _says_anything(self, data: dict[str, Any]) -> bool:
        shown = {"picture_view", "picture_foot"}
        return super()._says_anything({n: v for n, v in data.items() if n not in shown})


class ExamCorrectForm(ExamForm):
    """The examination once more, filled in as it was written down."""

    reason = SafeCharField(
        label="Why it is corrected",
        max_length=300,
        help_text="The whole team reads it, beside the version before.",
        error_messages={"required": "Say why: the line stays on the board, struck through."},
    )

    def __init__(self, *args: Any, exam: Exam, **kwargs: Any) -> None:
        super().__init__(*args, initial=exam_filled(exam), **kwargs)
        self.exam = exam

    def _says_anything(self, data: dict[str, Any]) -> bool:
        return super()._says_anything({name: v for name, v in data.items() if name != "reason"})

    def examined_at(self, now: datetime) -> datetime:
        """On the same day, at the same time as before."""
        same_day = timezone.localtime(self.exam.examined_at).date() == self.cleaned_data["on"]
        return self.exam.examined_at if same_day else super().examined_at(now)


class ExamVoidForm(forms.Form):
    """Why an examination is taken back, and which horse it was, where it was another one."""

    reason = SafeCharField(
        label="Why",
        max_length=300,
        help_text="The whole team reads it, for good: for example, "
        "“It was written on the wrong horse.”",
        error_messages={"required": "Say why: the line stays on the board, struck through."},
    )
    other = forms.ChoiceField(
        label="It was this horse",
        required=False,
        help_text="The form for that horse comes filled in; look it over and save it there.",
        error_messages={"invalid_choice": "Choose one of your own horses from the list."},
    )

    def __init__(self, *args: Any, boards: list[tuple[str, str]], **kwargs: Any) -> None:
        """`boards`: the id of each case the examination may belong to, and its words."""
        super().__init__(*args, **kwargs)
        other = self.fields["other"]
        assert isinstance(other, forms.ChoiceField)
        other.choices = [("", "no other horse"), *boards]
