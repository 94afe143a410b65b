"""Where a horse stands, as a name to gather horses by: the one place that says what "a yard" is.

It is the place as it is written on the horse, without regard to case and spaces: as people typed it,
or the name of the yard it stands at.
"""

from horses.models import Horse

NO_PLACE = "Place not written down"


def place_name(horse: Horse) -> str:
    return " ".join(horse.yard.split()) or NO_PLACE


def place_key(horse: Horse) -> str:
    """The same for every horse of one place; empty where none is written."""
    return " ".join(horse.yard.split()).casefold()
