"""What is said beside the values of a picture: how coarse it is, and how it stands to other measurements."""

import math
from collections.abc import Mapping
from datetime import date, timedelta

from horses.domain.wording import day_words
from measurements.hoof.pictures.measured import Measured
from measurements.hoof.quantities import QUANTITIES, Z_95_TWO_SIDED, Method, TrimState, error_sd
from measurements.models import PicturePoints
from measurements.queries.numbers import Numbers
from measurements.queries.reading_values import ReadingValue
from measurements.wording import value_words

WHOLE_SHOWS = "LF"  # a whole horse is taken from its left
COARSE = (
    "A picture of the whole horse is coarse: people place the shoulder differently, and the stance "
    "moves the pastern. It is an observation, no score and no judgement of the horse."
)
FILM = (
    "A foot that was not filmed square on shows less than there is, and no point tells. Written down as "
    "readings, palmar angle and sole depth count in the warnings before cutting; the others stay with "
    "the film."
)
SOLE = "In front of and behind the widest part: where it lies is no fault by itself. Ask who trims."

# Of 308 days until a change of half a degree a trim shows, 241 are left: mean of 4,000 simulated feet whose
# toe angle is measured before the trim alone (gauge), and with a picture beside the card every three weeks.
# Against feet measured after the trim too, the same pictures gain 22 days or fewer: there it is not said.
SOONER_DAYS = 67
EVERY_THREE_WEEKS = (
    "This foot's toe angle is only measured before the trim. Taken with the card every three weeks, between "
    f"visits, a picture from the side shows a slow change about {SOONER_DAYS} days sooner: simulated, where "
    "a foot changes by half a degree a trim."
)
SEEN_DAYS, LEAST_MEASURED = (
    400,
    2,
)  # how far back is looked, and at how many readings; house defaults


def picture_helps(numbers: Numbers, foot: str, view: str, today: date) -> str:
    """The sentence about pictures between visits, where it is true of this foot; else nothing."""
    if view != "side" or not foot:
        return ""
    since = today - timedelta(days=SEEN_DAYS)
    measured = [
        row.trim_state
        for row in numbers.readings.get((foot, "toe_angle"), [])
        if row.taken_on >= since and row.points_id is None
    ]
    if len(measured) < LEAST_MEASURED or set(measured) != {TrimState.BEFORE.value}:
        return ""
    return EVERY_THREE_WEEKS


def card_words(row: PicturePoints) -> str:
    """What was told of the card: ", card placed by hand, 40 mm nearer to the camera than the foot"."""
    if not row.card_corners:
        return ""
    off = row.card_nearer_mm
    by_hand = ", card placed by hand" if row.card_by_hand else ""
    if not off:
        return by_hand
    card = "" if row.card_by_hand else " the card"
    where = "nearer to the camera than" if off > 0 else "further away than"
    return f"{by_hand},{card} {float(abs(off)):g} mm {where} the middle of the foot"


def beside_values(view: str, found: Mapping[str, Measured], numbers: Numbers) -> list[str]:
    """The sentences of a view, in their order."""
    if view == "whole":
        hoof, newest = found.get("hoof_slope"), numbers.latest(WHOLE_SHOWS, "toe_angle")
        related = [_against_the_foot(hoof, newest)] if hoof and newest else []
        return [COARSE, *related]
    if view.startswith("film"):
        return [FILM]
    return [SOLE] if view == "sole" else []


def _against_the_foot(hoof: Measured, newest: ReadingValue) -> str:
    own_sd = float(newest.sd) if newest.sd else _usual_sd(newest)
    apart = abs(hoof.value - float(newest.value))
    last = (
        f"The left fore's toe angle was last {value_words('toe_angle', float(newest.value))} "
        f"({day_words(newest.taken_on)}, {newest.method_label})"
    )
    if apart <= Z_95_TWO_SIDED * math.hypot(hoof.sd, own_sd):
        return f"{last}: the hoof on this picture slopes the same within both errors."
    return (
        f"{last}: the hoof on this picture slopes {value_words('toe_angle', round(apart, 1))} "
        f"{'more' if hoof.value > float(newest.value) else 'less'}, which is more than both errors. "
        "Look at the day and at how the picture was taken; the foot's own measurement counts."
    )


def _usual_sd(newest: ReadingValue) -> float:
    return error_sd(QUANTITIES["toe_angle"], Method(newest.method))
