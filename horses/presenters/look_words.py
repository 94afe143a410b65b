"""A look in words: when and by whom, and how many were marked with it. Pure."""

from datetime import date

from django.utils import timezone

from caseboard.lib.spans import one_or
from caseboard.lib.words import days_ago
from horses.models import Look, Person


def look_words(look: Look, person: Person, today: date) -> str:
    """ "7:05, you", "yesterday, Kit Farrow: 6 marked together". The number tells a glance over a
    field from a look at one horse."""
    at = timezone.localtime(look.looked_at)
    when = f"{at:%-H:%M}" if at.date() == today else days_ago(at.date(), today)
    who = "you" if look.looked_by_id == person.pk else look.looked_by_name
    together = f": {look.together} marked together" if look.others else ""
    return f"{when}, {who}{together}"


def look_short(look: Look, person: Person, today: date) -> str:
    """Of a look of today, for a place of few words: "Looked at 7:05, you". A glance over several
    says so first, so that no narrow line cuts it off: "Looked at with 4 others, 7:05, you"."""
    at = timezone.localtime(look.looked_at)
    if at.date() != today:
        return ""
    who = "you" if look.looked_by_id == person.pk else look.looked_by_name
    others = f"with {look.others} {one_or(look.others, 'other', 'others')}, " if look.others else ""
    return f"Looked at {others}{at:%-H:%M}, {who}"
