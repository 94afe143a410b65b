"""The page of looks: every part with invented data, to copy from. Routed only while developing."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from caseboard.glance.asks import Soon
from caseboard.glance.feet import FootGlance, Rim, Tone, Way
from caseboard.glance.row import Button, Row
from caseboard.glance.screen import VisitLine
from horses.queries.plan import Mark
from measurements.charts.side_view import SideDrawn, SideWords, draw_side
from measurements.hoof.outline import SideNumbers, aim_fan, laid_over, side_outline
from measurements.panels.feet import BandMark


class SampleForm(forms.Form):
    """One field of each kind, so that the page shows what form_field.html makes of it."""

    words = forms.CharField(
        label="What did you see?",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="In your own words. Your team reads it.",
    )
    since = forms.DateField(
        label="Since when", required=False, widget=forms.DateInput(attrs={"type": "date"})
    )
    method = forms.ChoiceField(
        label="Measured with",
        choices=[("gauge", "Gauge"), ("tape", "Tape or caliper"), ("photo", "Photo")],
    )
    signs = forms.MultipleChoiceField(
        label="Signs",
        widget=forms.CheckboxSelectMultiple,
        choices=[
            ("heat", "One foot warmer than the others"),
            ("pulse", "Stronger pulse than usual"),
            ("short", "Short stride"),
            ("stones", "Sore on stones"),
        ],
        help_text="Tick all that you see.",
    )
    foot = forms.ChoiceField(
        label="Foot",
        widget=forms.RadioSelect,
        choices=[
            ("LF", "Left fore"),
            ("RF", "Right fore"),
            ("LH", "Left hind"),
            ("RH", "Right hind"),
        ],
    )
    told = forms.BooleanField(label="The vet has been told on the phone", required=False)
    photo = forms.FileField(label="Photo", required=False)
    toe_before = forms.CharField(
        required=False, widget=forms.TextInput(attrs={"inputmode": "decimal"})
    )
    toe_after = forms.CharField(
        required=False, widget=forms.TextInput(attrs={"inputmode": "decimal"})
    )


def sample_page() -> dict[str, Any]:
    """Everything the page shows; invented."""
    refused = SampleForm(
        {"words": "", "method": "gauge", "signs": ["heat"], "foot": "LF", "toe_before": "5o"},
        prefix="refused",
    )
    refused.add_error("toe_before", "That is not a number. Write it like 50, 50.5 or 50 1/2.")
    return {
        "form": SampleForm(initial={"signs": ["heat", "pulse"], "foot": "RF"}),
        "refused": refused,
        "numbers": [{"phone": "+00 555 0142", "name": "Dr Sample", "label": "out of hours"}],
        "half_agreed": [
            Mark("owner", "agreed", "Ines"),
            Mark("farrier", "waiting", mine=True),
            Mark("vet", "declined", "Dr Sample"),
        ],
        "vacant": [
            Mark("owner", "agreed", "Ines"),
            Mark("farrier", "agreed", "Tom"),
            Mark("vet", "vacant"),
        ],
        "outside_band": BandMark("1.5° under the band 50 to 54°", True, 22, 40, 80),
        "inside_band": BandMark("inside the band 50 to 54°", False, 50, 40, 80),
        "steps": [
            {"label": "Found", "url": "#steps", "done": True},
            {"label": "Done", "current": True},
            {"label": "Left", "url": "#steps"},
            {"label": "Next visit"},
        ],
        "pairs": [
            {
                "label": "Reason",
                "theirs": "Toe grows long between visits.",
                "yours": "Toe is long; bring the next visit forward.",
            }
        ],
        "readers": ["You (farrier)", "Vet: Dr Sample"],
        "first": sample_screen(),
        "side": sample_side(),
    }


def sample_screen() -> dict[str, Any]:
    """A first screen with one row of each kind, and one foot of each."""
    ring = Button("Ring Tom", "#main", "Ring Tom, farrier", rings=True)
    vet = Button("Ring vet", "#main", "Ring Dr Sample, vet", rings=True)
    agree = Button("Your word", "#main", "Say your word on the plan", rings=False)
    rows = [
        Row(
            ("LF",),
            "Left fore: warm, strong pulse",
            Soon.NOW,
            "Now",
            "Call your vet.",
            vet,
            "#main",
            "",
            True,
        ),
        Row(
            ("RF",),
            "Right fore: the toe is creeping forward",
            Soon.NEXT,
            "Before 18 June",
            "have it looked at.",
            ring,
            "#main",
            "",
            False,
        ),
        Row(
            (),
            "A plan waits for your word",
            Soon.WORD,
            "",
            "Three items.",
            agree,
            "#main",
            "",
            False,
        ),
    ]
    feet = [
        FootGlance(
            "LF",
            "warm, strong pulse",
            Tone.NEEDS,
            Way.DOWN,
            "1° a year",
            "48.5°",
            Rim.SHOD,
            "#main",
        ),
        FootGlance(
            "RF", "toe creeping forward", Tone.KNOWN, Way.UP, "4° a year", "51°", Rim.LOST, "#main"
        ),
        FootGlance("LH", "no change seen", Tone.CALM, Way.LEVEL, "", "53.5°", Rim.BARE, "#main"),
        FootGlance("RH", "not measured", Tone.BLANK, Way.UNKNOWN, "", "", Rim.UNSAID, "#main"),
    ]
    visit = VisitLine("9", "days", "Thursday 18 June", "Tom, farrier", "", "", "")
    return {
        "density": "few",
        "rows": rows,
        "feet": feet,
        "caption": "Toe angle just after the trim",
        "visit": visit,
    }


def sample_side() -> SideDrawn:
    """A foot from the side with all that can be drawn: now, then, aim, pastern and shoe."""
    now = side_outline(SideNumbers(49, 86, 44.5, None, None, 52, is_shod=True))
    then = laid_over(now, side_outline(SideNumbers(53, 80, 46)))
    words = SideWords("49°", "86 mm", "44.5°", "The left fore from the side", "To scale.")
    return draw_side("LF", now, then, aim_fan(now, 48, 53), words)


def looks(request: HttpRequest) -> HttpResponse:
    return render(request, "caseboard/looks.html", sample_page())
