"""What is said beside the values of a picture: how coarse it is, and how it stands to other measurements."""

import math
from collections.abc import Mapping

from horses.domain.wording import day_words
from measurements.hoof.pictures.measured import Measured
from measurements.hoof.quantities import QUANTITIES, Z_95_TWO_SIDED, Method, error_sd
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
