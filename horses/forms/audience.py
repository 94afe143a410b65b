"""Who reads what is being written: chosen from sets that say, each in words, who that is."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.html import format_html
from django.utils.safestring import SafeString

from horses.access import CaseAccess
from horses.domain.wording import TEAM, Audience, audiences, readers_short, sentence_case
from horses.models import Membership, Role

UNKNOWN = "Choose who may read it: one of the sets of readers listed here."
NARROWER = (
    "A correction goes to at least the same readers: those who have read the old words must not be "
    "left with them. Choose the same readers or more."
)


def audiences_for(access: CaseAccess, team: Sequence[Membership]) -> list[Audience]:
    """The sets of readers that this person may choose on this team; a carer writes to all of it."""
    names: dict[str, list[str]] = {}
    for member in team:
        names.setdefault(member.role, []).append(str(member.person))
    offered = audiences(access.role, names)
    return offered[:1] if access.role == Role.CARER else offered


def at_least(offered: Sequence[Audience], roles: frozenset[str]) -> list[Audience]:
    """Those that hold all these roles; the very set first when it is not offered otherwise."""
    held = [audience for audience in offered if roles <= audience.roles]
    if any(audience.roles == roles for audience in held):
        return held
    words = readers_short(roles)
    return [Audience(",".join(sorted(roles)), sentence_case(words), "The same readers."), *held]


class AudienceField(forms.ChoiceField):
    """Radio buttons, each with its readers by name. Cleans to a set of roles."""

    widget = forms.RadioSelect

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", "Who reads this")
        kwargs["error_messages"] = {"invalid_choice": UNKNOWN, "required": UNKNOWN}
        super().__init__(**kwargs)

    def offer(self, offered: Sequence[Audience]) -> None:
        self.choices = [(audience.value, _label(audience)) for audience in offered]

    def clean(self, value: Any) -> frozenset[str]:
        return frozenset(super().clean(value).split(","))


def _label(audience: Audience) -> SafeString:
    return format_html("{}<small>{}</small>", audience.label, audience.sentence)


def for_whole_team(roles: frozenset[str]) -> bool:
    return roles == frozenset(TEAM.split(","))
