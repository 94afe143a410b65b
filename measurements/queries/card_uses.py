"""What a printed card was last used for by one person: told only of horses that they see now."""

from dataclasses import dataclass

from horses.access import CaseAccess, access_on, cases_for, may
from horses.models import Person, Picture
from horses.queries.pictures import pictures_for

MOST_TRIED = 20  # the newest pictures of a card that are looked at; house default


@dataclass(frozen=True)
class CardUse:
    """The newest picture of a foot beside this card, and the person's way to it."""

    access: CaseAccess
    picture: Picture


def last_use(person: Person, number: int) -> CardUse | None:
    """Of the pictures that this person added, as far as they still may see and add to that board. Cards
    carry the same numbers everywhere: what others photographed beside theirs is not asked."""
    own = Picture.objects.kept().filter(
        added_by=person, card_number=number, case__in=cases_for(person)
    )
    newest = own.exclude(foot="").select_related("case__horse").order_by("-added_at", "-pk")
    for picture in newest[:MOST_TRIED]:
        access = access_on(person, picture.case)
        if access is None or not may(access, "picture.add"):
            continue
        if pictures_for(access).standing().filter(pk=picture.pk).exists():
            return CardUse(access, picture)
    return None
