"""Shape findings in plain words, with their numbers rounded and their doubts said."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import cast

from measurements.hoof.feet import SideStyle, side_word
from measurements.hoof.films import VERY_THIN_SOLE_MM
from measurements.hoof.indices import KG_PER_CM2_PER_LB_PER_IN2, SMALL_FEET_LB_PER_IN2
from measurements.hoof.quantities import Method
from measurements.hoof.shape_finding import ShapeFinding, ShapeRule
from measurements.hoof.units import Unit, format_value


@dataclass(frozen=True)
class Wording:
    """How this reader likes things said: sides, and the units of lengths and weights."""

    side_style: SideStyle = "left_right"
    length_unit: Unit = "mm"
    weight_unit: Unit = "kg"


def sentence(
    finding: ShapeFinding, foot_label: str, day: str, wording: Wording | None = None
) -> str:
    """What a rule found, in one to three plain sentences.

    `foot_label` is the foot ("left fore"), or the pair ("front feet") for an uneven pair. `day` is
    that of the readings in words: a foot is told of as it was then.
    Says what was measured and the trade's threshold, then, where it applies, that the methods
    differ and that error alone may have carried it past the threshold.
    """
    found = _SENTENCES[finding.rule](finding, foot_label, wording or Wording())
    parts = [f"On {day} {found}"]
    if finding.mixed_methods:
        parts.append(_mixed(finding))
    if not finding.exceeds_error:
        parts.append("It may be past that by measuring error alone: measure again, please.")
    return " ".join(parts)


def _number(finding: ShapeFinding, name: str) -> float:
    return cast(float, finding.evidence[name])


def _deg(value: float) -> str:
    return format_value(value, "deg", "deg", 1)


def _length(value_mm: float, wording: Wording) -> str:
    return format_value(value_mm, "mm", wording.length_unit, 0)


def _weight(value_kg: float, wording: Wording) -> str:
    return format_value(value_kg, "kg", wording.weight_unit, 0)


def _underrun_heel(finding: ShapeFinding, foot: str, wording: Wording) -> str:
    heel, toe = (_deg(_number(finding, name)) for name in ("heel_angle_deg", "toe_angle_deg"))
    return (
        f"the {foot} heel angle ({heel}) was {_deg(finding.size)} under its toe angle ({toe}); "
        "from 5° on it is called underrun."
    )


def _axis(finding: ShapeFinding, foot: str, wording: Wording) -> str:
    toe, pastern = (_deg(_number(finding, name)) for name in ("toe_angle_deg", "pastern_angle_deg"))
    forward = finding.rule is ShapeRule.BROKEN_FORWARD_AXIS
    slope, name = ("steeper", "forward") if forward else ("lower", "back")
    return (
        f"the front of the {foot} hoof ({toe}) stood {_deg(finding.size)} {slope} than its "
        f"pastern ({pastern}); over {_deg(finding.size - finding.margin)} it is called broken {name}."
    )


def _sheared_heels(finding: ShapeFinding, foot: str, wording: Wording) -> str:
    longer = cast(str, finding.evidence["longer"])
    threshold = _length(finding.size - finding.margin, wording)
    return (
        f"the {longer} heel of the {foot} was {_length(finding.size, wording)} longer than the "
        f"other; from {threshold} on the heels are called sheared."
    )


def _uneven_pair(finding: ShapeFinding, feet: str, wording: Wording) -> str:
    left, right = (
        _deg(_number(finding, name)) for name in ("left_toe_angle_deg", "right_toe_angle_deg")
    )
    left_word, right_word = (side_word(side, wording.side_style) for side in ("left", "right"))
    return (
        f"the toe angles of the {feet} differed by {_deg(finding.size)} "
        f"({left_word} {left}, {right_word} {right}); over 1.5° they are called uneven."
    )


def _small_feet(finding: ShapeFinding, foot: str, wording: Wording) -> str:
    if wording.weight_unit == "lb":
        index, limit = f"{finding.size:.0f} lb/in²", f"{SMALL_FEET_LB_PER_IN2:.0f}"
    else:
        index = f"{_number(finding, 'index_kg_per_cm2'):.2f} kg/cm²"
        limit = f"{SMALL_FEET_LB_PER_IN2 * KG_PER_CM2_PER_LB_PER_IN2:.2f}"
    weight = _weight(_number(finding, "weight_kg"), wording)
    return (
        f"the {foot} was small for a horse of {weight}: its size index was {index}, and over {limit} "
        "a foot is called small."
    )


def _narrow_frog(finding: ShapeFinding, foot: str, wording: Wording) -> str:
    return (
        f"the {foot} frog was narrow: width over length was "
        f"{_number(finding, 'frog_ratio'):.2f}; under 0.67 is one definition of narrow heels, "
        "which many ordinary feet meet."
    )


def _negative_palmar_angle(finding: ShapeFinding, foot: str, wording: Wording) -> str:
    name = "plantar" if foot.endswith("hind") else "palmar"
    angle = _deg(_number(finding, "palmar_angle_deg"))
    return f"the {foot} {name} angle on the radiograph was {angle}; under 0° is below level."


def _thin_sole(finding: ShapeFinding, foot: str, wording: Wording) -> str:
    depth_mm = _number(finding, "sole_depth_mm")
    # To a tenth: 14.6 mm is not "15 mm deep, 15 mm or more is wanted".
    depth = format_value(depth_mm, "mm", wording.length_unit, 1).replace(".0 mm", " mm")
    wanted = _length(finding.size + depth_mm, wording)
    ring = " Ring the vet before anybody cuts." if depth_mm < VERY_THIN_SOLE_MM else ""
    return (
        f"the {foot} sole on the radiograph was {depth} deep; one rule, of several, "
        f"wants {wanted} or more.{ring}"
    )


def _steep_palmar_angle(finding: ShapeFinding, foot: str, wording: Wording) -> str:
    name = "plantar" if foot.endswith("hind") else "palmar"
    angle = _deg(_number(finding, "palmar_angle_deg"))
    limit = _deg(_number(finding, "palmar_angle_deg") - finding.size)
    return f"the {foot} {name} angle on the radiograph was {angle}, over {limit}."


def _uneven_films(finding: ShapeFinding, feet: str, wording: Wording) -> str:
    left_word, right_word = (side_word(side, wording.side_style) for side in ("left", "right"))
    if finding.rule is ShapeRule.UNEVEN_SOLES:
        of, name = "soles", "sole_depth_mm"
        words: Callable[[float], str] = partial(_length, wording=wording)
    else:
        of = f"{'plantar' if feet.startswith('hind') else 'palmar'} angles"
        name, words = "palmar_angle_deg", _deg
    left, right = (words(_number(finding, f"{side}_{name}")) for side in ("left", "right"))
    return (
        f"the {of} of the {feet} on the radiographs differed by {words(finding.size)} "
        f"({left_word} {left}, {right_word} {right})."
    )


def _long_toe(finding: ShapeFinding, foot: str, wording: Wording) -> str:
    toe, expected = (
        _length(_number(finding, name), wording)
        for name in ("toe_length_mm", "expected_toe_length_mm")
    )
    weight = _weight(_number(finding, "weight_kg"), wording)
    over = _length(finding.size - finding.margin, wording)
    return (
        f"the {foot} toe was {toe} long; a rule of thumb for {weight} is {expected}, and over "
        f"{over} more is called long here, which many ordinary feet are."
    )


def _mixed(finding: ShapeFinding) -> str:
    first, second = (
        Method(cast(str, finding.evidence[name])).label
        for name in ("first_method", "second_method")
    )
    return f"One was measured by {first}, the other by {second}, which do not compare exactly."


_SENTENCES: dict[ShapeRule, Callable[[ShapeFinding, str, Wording], str]] = {
    ShapeRule.UNDERRUN_HEEL: _underrun_heel,
    ShapeRule.BROKEN_BACK_AXIS: _axis,
    ShapeRule.BROKEN_FORWARD_AXIS: _axis,
    ShapeRule.SHEARED_HEELS: _sheared_heels,
    ShapeRule.UNEVEN_PAIR: _uneven_pair,
    ShapeRule.SMALL_FEET: _small_feet,
    ShapeRule.NARROW_FROG: _narrow_frog,
    ShapeRule.NEGATIVE_PALMAR_ANGLE: _negative_palmar_angle,
    ShapeRule.THIN_SOLE: _thin_sole,
    ShapeRule.LONG_TOE: _long_toe,
    ShapeRule.STEEP_PALMAR_ANGLE: _steep_palmar_angle,
    ShapeRule.UNEVEN_PALMAR_ANGLES: _uneven_films,
    ShapeRule.UNEVEN_SOLES: _uneven_films,
}
# What stands above the sentence, after the foot or pair.
SHAPE_TITLES: dict[ShapeRule, str] = {
    ShapeRule.UNDERRUN_HEEL: "heel angle well under the toe angle",
    ShapeRule.BROKEN_BACK_AXIS: "hoof-pastern axis broken back",
    ShapeRule.BROKEN_FORWARD_AXIS: "hoof-pastern axis broken forward",
    ShapeRule.SHEARED_HEELS: "heels of unequal length",
    ShapeRule.UNEVEN_PAIR: "left and right toe angles differ",
    ShapeRule.SMALL_FEET: "small foot for the weight",
    ShapeRule.NARROW_FROG: "narrow frog",
    ShapeRule.NEGATIVE_PALMAR_ANGLE: "coffin bone below level",
    ShapeRule.THIN_SOLE: "thin sole",
    ShapeRule.LONG_TOE: "long toe for the weight",
    ShapeRule.STEEP_PALMAR_ANGLE: "coffin bone too steep",
    ShapeRule.UNEVEN_PALMAR_ANGLES: "left and right films differ in angle",
    ShapeRule.UNEVEN_SOLES: "left and right soles differ",
}
