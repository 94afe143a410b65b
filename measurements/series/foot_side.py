"""The side view of a foot with its words: what is laid over what, and what may be said of it."""

from dataclasses import dataclass
from math import cos, hypot, radians, sin, sqrt

from caseboard.lib.spans import roughly_words
from measurements.charts.side_view import SideDrawn, SideWords, draw_side
from measurements.hoof.outline import (
    PASTERN_MM,
    aim_fan,
    break_deg,
    laid_over,
    side_outline,
    toe_further_out_mm,
)
from measurements.hoof.quantities import Z_95_TWO_SIDED
from measurements.hoof.shape import AXIS_TOLERANCE_DEG
from measurements.panels.side_view import LENGTH, PASTERN, TOE, SideSeen, SideStory
from measurements.wording import (
    band_range_words,
    foot_quantity,
    full_day_words,
    shown_unit,
    size_words,
    value_words,
)


@dataclass(frozen=True)
class FootSide:
    drawn: SideDrawn
    caption: str
    sentences: tuple[str, ...]


def foot_side(
    story: SideStory, length_unit: str, *, plain: bool = False, pastern_mm: float = PASTERN_MM
) -> FootSide | None:
    """None where the numbers contradict each other: then nothing is drawn.

    `plain`: without numbers in the drawing, for where they stand beside it.
    """
    unit = shown_unit("toe_length", length_unit)
    try:
        now = side_outline(story.now.numbers, pastern_mm=pastern_mm)
        then = side_outline(story.then.numbers, pastern_mm=pastern_mm) if story.then else None
    except ValueError:
        return None
    words = SideWords(
        toe_angle=value_words(TOE, story.now.numbers.toe_angle_deg),
        toe_length=value_words("toe_length", story.now.numbers.toe_length_mm, unit),
        heel_angle=_optional("heel_angle", story.now.numbers.heel_angle_deg),
        title=f"The {foot_quantity(story.foot, TOE).removesuffix(' toe angle')} from the side",
        desc=" ".join(_sentences(story, unit)) or "Drawn from its own numbers, to scale.",
    )
    fan = aim_fan(now, *story.aim) if story.aim else None
    over = laid_over(now, then) if then else None
    drawn = draw_side(story.foot, now, over, fan, words, plain=plain)
    return FootSide(drawn, _caption(story), tuple(_sentences(story, unit)))


def _optional(quantity: str, value: float | None) -> str:
    return "" if value is None else value_words(quantity, value)


def _caption(story: SideStory) -> str:
    """What each line is. An assumed heel is said, because its place is not measured."""
    parts = [f"Thick: {full_day_words(story.now.on)}, {story.now.trim_state.label}."]
    if story.then:
        parts.append(f"Dashed: {full_day_words(story.then.on)}.")
    if story.aim:
        parts.append(f"Hatched: the aim, {band_range_words(TOE, *story.aim)}.")
    if story.foot.startswith("R"):
        parts.append("Drawn toe to the left, as in a mirror.")
    if story.now.numbers.heel_angle_deg is not None:
        parts.append("How far back the heel stands is guessed.")
    return " ".join(parts)


def _sentences(story: SideStory, unit: str) -> list[str]:
    found = [_break_words(story.now), _further_out(story, unit)]
    return [sentence for sentence in found if sentence]


def _break_words(seen: SideSeen) -> str:
    size = break_deg(seen.numbers)
    if size is None:
        return ""
    if abs(size) <= AXIS_TOLERANCE_DEG:
        return "Hoof and pastern are in line, as far as the measuring can tell."
    way = "back" if size < 0 else "forward"
    doubt = ""
    if abs(size) - AXIS_TOLERANCE_DEG < Z_95_TWO_SIDED * hypot(seen.sds[TOE], seen.sds[PASTERN]):
        doubt = "; it may be less by measuring error alone"
    return f"Broken {way}: hoof and pastern {size_words(TOE, size)} apart{doubt}."


def _further_out(story: SideStory, unit: str) -> str:
    """Only what is more than the measuring error, and measured: no assumed length enters."""
    if story.then is None:
        return ""
    moved = toe_further_out_mm(story.now.numbers, story.then.numbers)
    error = sqrt(_reach_var(story.now) + _reach_var(story.then))
    if abs(moved) <= Z_95_TWO_SIDED * error:
        return ""
    ago = roughly_words((story.now.on - story.then.on).days)
    way = "further out" if moved > 0 else "further back"
    return f"The toe stands {size_words('toe_length', moved)} {way} than {ago} before."


def _reach_var(seen: SideSeen) -> float:
    """Variance (mm²) of how far the toe stands in front of the hairline: L cos(angle)."""
    angle, length_mm = radians(seen.numbers.toe_angle_deg), seen.numbers.toe_length_mm
    by_angle = length_mm * sin(angle) * radians(seen.sds[TOE])
    by_length = cos(angle) * seen.sds[LENGTH]
    return by_angle**2 + by_length**2
