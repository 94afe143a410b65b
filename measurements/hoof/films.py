"""What a film (radiograph) says of a foot that must not wait: how dangers differ from wide nets.

Each limit is a prompt to talk with the vet, never a diagnosis. A film counts until a newer one.
"""

import math

from measurements.hoof.quantities import Z_95_TWO_SIDED
from measurements.hoof.shape_finding import Measured, ShapeFinding, ShapeRule

# Usual palmar angle 2 to 10 deg: Equine Clinical Medicine, Surgery and Reproduction 2nd ed. p.113.
# Its upper end as a limit: house default.
STEEP_PALMAR_ANGLE_DEG = 10.0
# Under this the vet is rung before anybody cuts: practice teaching, from memory; house default.
VERY_THIN_SOLE_MM = 10.0
# Left against right. No published tolerance found: house defaults.
UNEVEN_PALMAR_ANGLE_DEG = 2.0
UNEVEN_SOLE_MM = 3.0
# Films further apart than this are of two different feet: a trim takes about 3 mm of sole
# (Dareh-Shori horses, Iran J Vet Surg, n=10). House default.
SAME_FILMS_DAYS = 14

_DECIMALS_KEPT = 6  # differences of entered decimals pick up binary dust


def steep_palmar_angle(palmar_angle: Measured) -> ShapeFinding | None:
    """Whether the palmar (hind: plantar) angle on a film is over 10 deg; `size` is what is over.

    Values and SD in deg. None at or under the limit.
    """
    over = round(palmar_angle.value - STEEP_PALMAR_ANGLE_DEG, _DECIMALS_KEPT)
    if not over > 0:
        return None
    return ShapeFinding(
        rule=ShapeRule.STEEP_PALMAR_ANGLE,
        size=over,
        size_sd=palmar_angle.sd,
        margin=over,
        exceeds_error=over > Z_95_TWO_SIDED * palmar_angle.sd,
        mixed_methods=False,
        evidence={"palmar_angle_deg": palmar_angle.value},
    )


def uneven_palmar_angles(left: Measured, right: Measured) -> ShapeFinding | None:
    """Whether the palmar angles of a pair differ by more than 2 deg; `size` is the difference."""
    return _uneven(
        ShapeRule.UNEVEN_PALMAR_ANGLES, left, right, UNEVEN_PALMAR_ANGLE_DEG, "palmar_angle_deg"
    )


def uneven_soles(left: Measured, right: Measured) -> ShapeFinding | None:
    """Whether the soles of a pair differ by more than 3 mm; `size` is the difference."""
    return _uneven(ShapeRule.UNEVEN_SOLES, left, right, UNEVEN_SOLE_MM, "sole_depth_mm")


def _uneven(
    rule: ShapeRule, left: Measured, right: Measured, limit: float, name: str
) -> ShapeFinding | None:
    """Past the limit; surely so when what is past it is more than the error of the difference."""
    size = round(abs(left.value - right.value), _DECIMALS_KEPT)
    margin = round(size - limit, _DECIMALS_KEPT)
    if not margin > 0:
        return None
    size_sd = math.hypot(left.sd, right.sd)
    return ShapeFinding(
        rule=rule,
        size=size,
        size_sd=size_sd,
        margin=margin,
        exceeds_error=margin > Z_95_TWO_SIDED * size_sd,
        mixed_methods=left.method != right.method,
        evidence={
            f"left_{name}": left.value,
            f"right_{name}": right.value,
            "first_method": left.method.value,
            "second_method": right.method.value,
        },
    )
