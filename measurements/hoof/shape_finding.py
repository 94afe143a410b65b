"""What a shape rule finds, and whether it should notify people or only stand on the board."""

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any, Literal

from measurements.hoof.quantities import Method, mdc95
from measurements.hoof.series import UnusableReading


class ShapeRule(StrEnum):
    """The rules, by what they look for."""

    UNDERRUN_HEEL = "underrun_heel"
    BROKEN_BACK_AXIS = "broken_back_axis"
    BROKEN_FORWARD_AXIS = "broken_forward_axis"
    SHEARED_HEELS = "sheared_heels"
    UNEVEN_PAIR = "uneven_pair"
    SMALL_FEET = "small_feet"
    NARROW_FROG = "narrow_frog"
    NEGATIVE_PALMAR_ANGLE = "negative_palmar_angle"
    THIN_SOLE = "thin_sole"
    LONG_TOE = "long_toe"
    STEEP_PALMAR_ANGLE = "steep_palmar_angle"
    UNEVEN_PALMAR_ANGLES = "uneven_palmar_angles"
    UNEVEN_SOLES = "uneven_soles"


# Texts contradict each other on the frog, and the toe table is from memory: these never alert.
REMARK_ONLY = frozenset({ShapeRule.NARROW_FROG, ShapeRule.LONG_TOE})
# Seen on a film, and somebody could be about to cut: an alert at first sight, however long it has
# been so. House default.
DANGERS = frozenset(
    [
        ShapeRule.THIN_SOLE,
        ShapeRule.NEGATIVE_PALMAR_ANGLE,
        ShapeRule.STEEP_PALMAR_ANGLE,
        ShapeRule.UNEVEN_PALMAR_ANGLES,
        ShapeRule.UNEVEN_SOLES,
    ]
)


@dataclass(frozen=True)
class Measured:
    """A value with its error SD (> 0) and method, base unit. Raises `UnusableReading`."""

    value: float
    sd: float
    method: Method

    def __post_init__(self) -> None:
        if not (math.isfinite(self.value) and math.isfinite(self.sd) and self.sd > 0):
            raise UnusableReading("A value needs a real number and a measuring error above zero.")


@dataclass(frozen=True)
class ShapeFinding:
    """One rule that a foot or pair meets.

    `size` is the amount the rule looks at, larger being worse, in the unit of the rule;
    `size_sd` its error. `margin` is how far the size lies past the threshold (>= 0).
    `exceeds_error` is whether the margin, not the size, is more than measuring error. `mixed_methods`: the two readings
    came by different methods, which are not interchangeable (JEVS 2023;121:104195).
    `evidence` holds the numbers behind it, base units in their names.
    """

    rule: ShapeRule
    size: float
    size_sd: float
    margin: float
    exceeds_error: bool
    mixed_methods: bool
    evidence: Mapping[str, float | str]

    def to_dict(self) -> dict[str, Any]:
        """The finding as plain values, to be kept beside an alert."""
        return asdict(self)

    @classmethod
    def from_dict(cls, kept: Mapping[str, Any]) -> "ShapeFinding":
        """The finding that `to_dict` kept."""
        return cls(**{**kept, "rule": ShapeRule(kept["rule"])})


def got_worse(now: ShapeFinding, earlier: ShapeFinding) -> bool:
    """Whether a finding grew since an earlier one of the same rule by more than the error."""
    return now.size - earlier.size > mdc95(now.size_sd, earlier.size_sd)


def shape_weight(
    now: ShapeFinding, previous: ShapeFinding | None, *, first_look: bool = False
) -> Literal["alert", "remark"]:
    """Whether a finding should notify people or only stand on the board.

    An alert is surely there (beyond the error) and either new (`previous` is None) or worse
    than `previous`: pass the finding of this rule and foot that people were last told of, not
    just the last one, so that slow worsening adds up. With `first_look` (nothing was
    measured before, so nothing is new) a finding is a remark. One of the `DANGERS` that is surely
    there is an alert whenever it is seen.
    """
    if now.rule in REMARK_ONLY or not now.exceeds_error:
        return "remark"
    if now.rule in DANGERS:
        return "alert"
    is_new = previous is None and not first_look
    is_worse = previous is not None and got_worse(now, previous)
    return "alert" if is_new or is_worse else "remark"
