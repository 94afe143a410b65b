"""What the sentences about a series take for granted, in words, with the published sources."""

from measurements.hoof.growth import CYCLE_DAYS, Growth, growth_prior
from measurements.hoof.quantities import (
    BY_POINTS,
    QUANTITIES,
    Z_95_TWO_SIDED,
    Method,
    Shoeing,
    error_sd,
)
from measurements.hoof.trend import TooFewReadings, Trend
from measurements.wording import value_words

OURS = "our own assumption, for want of a published figure"
# Where the change inside a cycle is taken from; the numbers stand in hoof/growth.py.
GROWTH_SOURCES = {
    "toe_angle": "van Heel et al., Equine Vet J 2005;37:536-540, for shod feet; Malone and Davies, "
    "Animals 2019;9:1017, for the direction in barefoot ones",
    "heel_angle": "taken to change as the toe angle does, which is " + OURS,
    "palmar_angle": "taken to change as the toe angle does, which is " + OURS,
    "toe_length": "Josseck et al., Equine Vet J 1995;27:175-182, for the growth of the wall; how "
    "much a barefoot foot wears off is " + OURS,
    "coronary_circumference": "Malone and Davies, Animals 2019;9:1017, and Decurnex et al., "
    "Equine Vet J 2009",
}
ANGLE_ERROR = (
    "The error of an angle is a planning value between people; the same hands on one day do better "
    "(Peel et al., Equine Vet J Suppl 2006;36:431-434), and the ways of measuring angles cannot "
    "stand in for each other (J Equine Vet Sci 2023;121:104195)"
)
LENGTH_ERROR = "The error of a length is a planning value between people, which is " + OURS
POINTS_ERROR = (
    "It is reckoned from where the points lie and how the picture was taken; no pictures of real "
    "feet with a gauge beside them were there to check it against"
)
CIRCUMFERENCE_ERROR = "The error of the tape is from J Equine Vet Sci 2022;115:104028"


def assumptions(
    quantity: str, shoeing: Shoeing, method: Method, trend: Trend | TooFewReadings, unit: str
) -> list[str]:
    """The sentences under "what is allowed for"."""
    of, prior = QUANTITIES[quantity], growth_prior(QUANTITIES[quantity], shoeing)
    source = GROWTH_SOURCES.get(quantity, OURS)
    growth = (
        f"Between two trims the {of.label} of a foot that is {shoeing.label} is taken to "
        f"{_change_words(quantity, prior, unit)} in eight weeks ({source})."
    )
    return [growth, *_own(quantity, trend, unit), _error(quantity, method, unit)]


def _error(quantity: str, method: Method, unit: str) -> str:
    if method in BY_POINTS:
        return f"A reading by {method.label} comes with its own error. {POINTS_ERROR}."
    within = value_words(quantity, Z_95_TWO_SIDED * error_sd(QUANTITIES[quantity], method), unit)
    return (
        f"One reading by {method.label} is taken to be right to about {within}. "
        f"{_error_source(quantity)}."
    )


def _change_words(quantity: str, growth: Growth, unit: str) -> str:
    spread = value_words(quantity, Z_95_TWO_SIDED * growth.sd_per_56_days, unit)
    size = value_words(quantity, abs(growth.mean_per_56_days), unit)
    if growth.mean_per_56_days == 0:
        return f"fall or rise by up to about {spread}"
    if QUANTITIES[quantity].is_angle:
        verb = "fall" if growth.mean_per_56_days < 0 else "rise"
        return f"{verb} by {size}, give or take {spread} from horse to horse,"
    verb = "become shorter" if growth.mean_per_56_days < 0 else "grow"
    return f"{verb} by {size}, give or take {spread} from horse to horse,"


def _own(quantity: str, trend: Trend | TooFewReadings, unit: str) -> list[str]:
    """What this horse's own cycles made of it."""
    if isinstance(trend, TooFewReadings):
        return []
    own = value_words(quantity, trend.growth.mean_per_56_days, unit)
    return [f"This horse's own readings bring that to {own} in {CYCLE_DAYS:.0f} days."]


def _error_source(quantity: str) -> str:
    if quantity == "coronary_circumference":
        return CIRCUMFERENCE_ERROR
    return ANGLE_ERROR if QUANTITIES[quantity].is_angle else LENGTH_ERROR
