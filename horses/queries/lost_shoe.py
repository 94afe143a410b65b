"""Whom to ring about a lost shoe, and how far the asking has come."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from horses.access import CaseAccess
from horses.domain.lost_shoe_advice import STAND_IN_AFTER, TILL_THEN, Advice
from horses.domain.shoe_state import lost_again_words
from horses.domain.signs import is_lost_shoe
from horses.domain.wording import foot_words, listed, sentence_case
from horses.models import Flag, Membership, Role
from horses.queries.shoes import last_shoeing, open_losses, shoes_now


@dataclass(frozen=True)
class Call:
    """One person to ring; without a number the name says at least who it is."""

    name: str
    label: str
    phone: str


@dataclass(frozen=True)
class LostShoe:
    """What the page of the flag says beside the flag itself."""

    open_feet: list[str]
    calls: list[Call]
    told: str
    again: str
    shoes: list[str]
    till_then: tuple[Advice, ...]


def calls_for(access: CaseAccess, team: Sequence[Membership]) -> list[Call]:
    """The farrier first, then whoever stands in."""
    farriers = [m for m in team if m.role == Role.FARRIER and m.person_id != access.person.pk]
    farriers.sort(key=lambda m: m.stand_in)
    label = {False: "farrier", True: "stand-in farrier"}
    return [Call(str(m.person), label[m.stand_in], m.person.phone) for m in farriers]


def lost_shoe_shown(access: CaseAccess, flag: Flag, team: Sequence[Membership]) -> LostShoe | None:
    """None for a flag that is not about a lost shoe, or names no foot."""
    if "lost_shoe" not in flag.signs or not flag.feet:
        return None
    feet = shoes_now(access.horse).feet
    open_feet = open_losses(access.horse, flag)
    again = [f for f in open_feet if feet[f].lost_times > 1]
    return LostShoe(
        open_feet=open_feet,
        calls=calls_for(access, team),
        told=_told(flag, team) if open_feet else "",
        again=" ".join(lost_again_words(f, feet[f].lost_times) for f in again),
        shoes=last_shoes(access, flag.feet),
        till_then=TILL_THEN,
    )


def _told(flag: Flag, team: Sequence[Membership]) -> str:
    """ "Finn was told on 2 Nov, 09:00. Without an answer here, Stina is asked at 13:00."."""
    main = [m for m in team if m.role == Role.FARRIER and not m.stand_in]
    others = [m for m in team if m.role == Role.FARRIER and m.stand_in]
    named = listed(str(m.person) for m in others)
    spoke = [a for a in flag.answers.all() if a.answered_role == Role.FARRIER]
    if spoke:
        return f"{spoke[0].answered_by} has answered."
    if flag.raised_role == Role.FARRIER:
        return f"{flag.raised_by} wrote it down and knows of it."
    if not main:
        return f"{named} was told at once." if named else "There is no farrier on this team."
    at = flag.raised_at
    first = f"{listed(str(m.person) for m in main)} was told on {_clock(at)}."
    if not is_lost_shoe(flag.signs, flag.feet):
        return f"Everybody on the team was told on {_clock(at)}."
    if not others:
        return f"{first} Nobody stands in: phone if no answer comes."
    return f"{first} Without an answer here, {named} is asked on {_clock(at + STAND_IN_AFTER)}."


def _clock(at: datetime) -> str:
    return f"{timezone.localtime(at):%-d %b %Y, %H:%M}"


def last_shoes(access: CaseAccess, feet: Sequence[str]) -> list[str]:
    """ "Left fore: plain steel, size 5, 7 nails": what whoever comes has to bring."""
    last = last_shoeing(access.horse)
    return [
        f"{sentence_case(foot_words(foot, access.person))}: {last[foot].shoe_line}"
        for foot in feet
        if foot in last and last[foot].shoe_line
    ]
