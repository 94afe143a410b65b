"""A horse, its team and its marked feet in the words that board and papers share."""

from collections.abc import Iterable
from datetime import date

from caseboard.lib import spans
from horses.domain.shoe_state import FEET
from horses.models import Alert, Flag, Horse, Membership


def age_words(born_on: date, today: date) -> str:
    months = (today.year - born_on.year) * 12 + today.month - born_on.month
    months -= today.day < born_on.day
    return spans.age_words(months)


def horse_words(horse: Horse, today: date) -> str:
    """ "Mare, 11 years, cob type. Riding school, mixed footing, turned out in a group." """
    who = [horse.get_sex_display(), age_words(horse.born_on, today) if horse.born_on else ""]
    who.append(horse.breed)
    life = [horse.get_use_display()]
    life += [f"{horse.get_footing_display()} footing"] if horse.footing else []
    life += (
        [f"turned out {horse.get_turnout_display()}"] if horse.turnout in ("group", "alone") else []
    )
    life += [horse.get_turnout_display()] if horse.turnout == "stabled" else []
    parts = [", ".join(filter(None, who)), ", ".join(filter(None, life))]
    return " ".join(f"{part[0].upper()}{part[1:]}." for part in parts if part)


def team_label(member: Membership) -> str:
    return "stand-in farrier" if member.stand_in else member.get_role_display()


def feet_of(alert: Alert) -> tuple[str, ...]:
    """The feet that an alert names; a pair names both."""
    return tuple(part for part in alert.subject.split(":")[0].split("-") if part in FEET)


def feet_needing(flags: Iterable[Flag], alerts: Iterable[Alert]) -> frozenset[str]:
    """The feet that an open flag or alert names; a pair names both."""
    feet = {foot for flag in flags for foot in flag.feet}
    for alert in alerts:
        feet.update(feet_of(alert))
    return frozenset(feet)
