"""Fields written without the template engine, beside the same fields written with it."""

import re
from datetime import date
from typing import Any

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.utils.safestring import mark_safe

from caseboard.lib.form_renderer import WRITERS, PlainRenderer

HOSTILE = "\"><script>'&amp;\n ü"
CHOICES = [("", "–"), ("a", "A & b"), ("b", mark_safe("<b>B</b>")), (3, "three")]
GROUPED = [("", "–"), ("Fore <feet>", [("LF", "left"), ("RF", "right")]), ("x", "X")]
ATTRS: tuple[dict[str, Any], ...] = (
    {},
    {"id": "id_x", "required": True, "disabled": False, "maxlength": 5, "data-x": HOSTILE},
)
WIDGETS = (
    forms.TextInput(),
    forms.NumberInput(),
    forms.EmailInput(),
    forms.URLInput(),
    forms.HiddenInput(),
    forms.DateInput(),
    forms.TimeInput(),
    forms.CheckboxInput(),
    forms.Textarea(),
    forms.Select(choices=CHOICES),
    forms.Select(choices=GROUPED),
    forms.SelectMultiple(choices=CHOICES),
    forms.RadioSelect(choices=CHOICES),
    forms.CheckboxSelectMultiple(choices=GROUPED),
    forms.PasswordInput(),
    forms.FileInput(),
)
VALUES = (None, "", "a", 3, 0, 2.5, date(2026, 11, 2), HOSTILE, mark_safe("<i>"), True, ["a", "3"])


def joined(html: str) -> str:
    """Without the line ends that Django's templates leave between two tags; a text keeps its own."""
    return html if "<textarea" in html else re.sub(r">\s*\n\s*", "> ", html).replace("> <", "><")


@pytest.mark.parametrize("widget", WIDGETS, ids=lambda w: type(w).__name__)
def test_a_field_is_the_same(widget: forms.Widget) -> None:
    for attrs in ATTRS:
        for value in VALUES:
            ours, djangos = (
                widget.render("a <name>", value, attrs, renderer=renderer)
                for renderer in (PlainRenderer(), DjangoTemplates())
            )
            assert joined(ours) == joined(djangos), (attrs, value)


@pytest.mark.parametrize("widget", [forms.RadioSelect, forms.CheckboxSelectMultiple])
def test_one_box_of_several_is_the_same(
    widget: type[forms.RadioSelect | forms.CheckboxSelectMultiple],
) -> None:
    made = [
        [joined(str(box)) for box in forms.BoundField(form, form.fields["x"], "x").subwidgets]
        for form in (_form(widget, PlainRenderer()), _form(widget, DjangoTemplates()))
    ]
    assert made[0] == made[1]
    assert len(made[0]) == len(CHOICES)


def _form(
    widget: type[forms.RadioSelect | forms.CheckboxSelectMultiple], renderer: DjangoTemplates
) -> forms.Form:
    class Choosing(forms.Form):
        x = forms.ChoiceField(choices=CHOICES, widget=widget)

    return Choosing({"x": "a"}, renderer=renderer)


def test_a_widget_with_a_template_of_its_own_goes_through_it() -> None:
    class Own(forms.TextInput):
        template_name = "django/forms/widgets/attrs.html"

    assert Own.template_name not in WRITERS
    assert Own().render("x", "y", {"id": "z"}, renderer=PlainRenderer()) == ' id="z"'.strip()


def test_the_site_writes_its_fields_so() -> None:
    assert isinstance(forms.Form().renderer, PlainRenderer)
