"""Where a horse stands, as a name to gather horses by: the one place that says what "a yard" is.

Until a yard is a thing of its own, it is the place as people typed it, without regard to case and
spaces.
"""

from horses.models import Horse

NO_PLACE = "Place not written down"


def place_name(horse: Horse) -> str:
    return " ".join(horse.yard.split()) or NO_PLACE


def place_key(horse: Horse) -> str:
    """The same for every horse of one place; empty where none is written."""
    return " ".join(horse.yard.split()).casefold()
