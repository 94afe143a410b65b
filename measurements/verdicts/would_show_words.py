"""How large a change would have shown, in words. A foot in which nothing was found is no promise."""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES
from measurements.hoof.trend import Trend
from measurements.hoof.trend_power import line_would_show
from measurements.queries.numbers import ORIGIN
from measurements.wording import about_when, value_words

# A slow change that is found only when it is larger than this is no answer to "is it the same?":
# the readings are then too few or too unlike. House defaults, about what the eye sees.
USEFUL = {"deg": 5.0, "mm": 20.0}
TOO_FEW = "Too few visits to say more: even a large slow change may not have shown yet."
NOT_KNOWN = "A small change would not have shown."
OFTEN = "four times in five"


def drift_would_show(foot: str, quantity: str, result: Mapping[str, Any], today: date) -> str:
    """What the drift method would have found of one angle of a foot by now."""
    found = result.get("would_show", NOT_KNOWN)
    if found == NOT_KNOWN:
        return NOT_KNOWN  # a verdict of an earlier version
    if not found or quantity not in found["alone"]:
        return TOO_FEW
    alike, alone = found["alike"], found["alone"][quantity]
    if (alike if len(found["alone"]) > 1 else alone) > USEFUL[QUANTITIES[quantity].unit]:
        return _unlike(quantity, alike)
    since = f"since {about_when(date.fromisoformat(found['since_on']), today)}"
    if len(found["alone"]) == 1:
        return _would(quantity, alone, since)
    names = " and ".join(QUANTITIES[q].label_on(Foot(foot)) for q in found["alone"])
    own = QUANTITIES[quantity].label_on(Foot(foot))
    return (
        f"A slow change of about {value_words(quantity, alike)} {since} of {names} alike would "
        f"have shown {OFTEN}, of the {own} alone one of about {value_words(quantity, alone)}; a "
        "smaller or later one may not have."
    )


def line_would_show_words(quantity: str, trend: Trend, unit: str, today: date) -> str:
    """What the straight line would have found of a quantity that is judged by it."""
    of = QUANTITIES[quantity]
    size = line_would_show(trend, of)
    if size is None:
        return TOO_FEW
    if size > USEFUL[of.unit]:
        return _unlike(quantity, size, unit)
    first = ORIGIN + timedelta(days=round(trend.levels[0].trim_day))
    return _would(quantity, size, f"since {about_when(first, today)}", unit)


def _would(quantity: str, size: float, since: str, unit: str = "") -> str:
    return (
        f"A slow change of about {value_words(quantity, size, unit)} {since} would have shown "
        f"{OFTEN}; a smaller or later one may not have."
    )


def _unlike(quantity: str, size: float, unit: str = "") -> str:
    return (
        "The readings are too few or too unlike to say more: even a slow change of about "
        f"{value_words(quantity, size, unit)} might not have shown."
    )


def would_show_short(quantity: str, size: float | None, unit: str = "") -> str:
    """ "no change found (about 3.3° would have shown 4 times in 5)", for paper."""
    if size is None:
        return "no change found, but too few visits to show one"
    if size > USEFUL[QUANTITIES[quantity].unit]:
        return "no change found, but too few visits or too unlike to show one"
    return (
        f"no change found (about {value_words(quantity, size, unit)} would have shown 4 times in 5)"
    )


def short_size(quantity: str, result: Mapping[str, Any]) -> float | None:
    """How large a change of this angle alone would have shown, of a kept verdict."""
    found = result.get("would_show")
    return None if not found else found["alone"].get(quantity)
