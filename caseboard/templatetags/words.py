"""Words for templates, known to all of them without `{% load %}`."""

from django import template

from caseboard.lib.words import (
    date_words,
    days_ago,
    foot_label,
    get_item,
    listed,
    role_words,
    unbroken,
)

register = template.Library()
for words in (date_words, days_ago, foot_label, get_item, role_words, unbroken):
    register.filter(words.__name__, words)
register.filter("join_and", listed)
