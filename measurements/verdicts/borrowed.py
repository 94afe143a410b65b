"""A forecast that leans on what was measured of another quantity says so."""

from measurements.hoof.growth import Growth, borrowed_growth
from measurements.hoof.quantities import QUANTITIES


def borrowed_words(quantity: str, growth: Growth) -> str:
    """ "How it changes between two trims is taken from the toe angle ..."; "" for a growth of its own."""
    lender = borrowed_growth(QUANTITIES[quantity], growth)
    if lender is None:
        return ""
    return (
        f"How it changes between two trims is borrowed from the {QUANTITIES[lender].label}, for "
        "want of a figure of its own."
    )
