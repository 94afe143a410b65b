"""How far a person's taps lie from where they would put them again, learned from their repeats."""

from horses.models import Person
from measurements.hoof.pictures.measured import TAP_PX


def tap_px_of(person: Person) -> float:
    """SD of one tap along each axis, px of the kept picture."""
    return TAP_PX
