"""Words for templates, known to all of them without `{% load %}`."""

from django import template
from django.forms import BoundField

from caseboard.lib.diagram import diagram_feet, diagram_foot
from caseboard.lib.phone import dialled
from caseboard.lib.spans import counted, days_words
from caseboard.lib.words import (
    date_words,
    days_ago,
    feet_words,
    foot_label,
    get_item,
    listed,
    own_sides,
    own_start,
    own_words,
    picture_guide,
    plan_text,
    role_words,
    unbroken,
)

register = template.Library()
WORDS = (
    counted,
    date_words,
    days_ago,
    days_words,
    diagram_feet,
    diagram_foot,
    dialled,
    feet_words,
    foot_label,
    get_item,
    own_sides,
    own_start,
    own_words,
    picture_guide,
    plan_text,
    role_words,
    unbroken,
)
for words in WORDS:
    register.filter(words.__name__, words)
register.filter("join_and", listed)


@register.filter
def is_checkbox(field: BoundField) -> bool:
    """One box with its label behind it, unlike every other field."""
    return field.widget_type == "checkbox"


@register.simple_tag(takes_context=True)
def sides(context: template.Context, text: str) -> str:
    """The program's own words as whoever looks says left and right; on paper, as written."""
    return own_sides(text, context.get("user"))
