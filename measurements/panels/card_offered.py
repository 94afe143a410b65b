"""The card on a picture that is being added: which foot it was last used for, as an offer."""

from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from horses.access import CaseAccess
from horses.domain.wording import day_words
from horses.models import Picture
from horses.presenters.picture_words import shows_words
from measurements.queries.card_uses import CardUse


@dataclass(frozen=True)
class CardOffered:
    """`foot` and `view` where it is this horse's; `path` to the other horse's form where it is not."""

    words: str
    take: str
    foot: str = ""
    view: str = ""
    path: str = ""


def card_offered(
    access: CaseAccess, number: int, use: CardUse | None, person: Any
) -> CardOffered | None:
    """None where the card was never used, as far as this person may know."""
    if use is None:
        return None
    last: Picture = use.picture
    shows, on = shows_words(last.foot, last.view, person), day_words(last.taken_on)
    horse = use.access.horse
    was = f"Card {number} was last used for {horse.name}'s {shows} ({on})."
    if horse == access.horse:
        return CardOffered(
            f"{was} Is this that foot?", f"Yes: {shows}", foot=last.foot, view=last.view
        )
    path = reverse("picture_new", args=[use.access.case.public_id])
    return CardOffered(
        f"{was} This form is for {access.horse.name}. Look which horse it is.",
        f"It is {horse.name}: choose the picture again there",
        path=f"{path}?foot={last.foot}&view={last.view}",
    )
