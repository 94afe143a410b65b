"""Which part of a picture the foot fills: where somebody who places points looks first.

Boxes are (left, top, right, bottom) in px, within the picture. All lengths are house defaults: a foot of
a large horse, a card up to a hand's breadth before its toe, and room round both.
"""

from collections.abc import Sequence

from measurements.hoof.pictures.align import mm_per_px
from measurements.hoof.pictures.measured import Point

Box = tuple[float, float, float, float]

# From the square's edges: to the side of the foot, behind the card, and above and below.
TO_THE_FOOT_MM, BEHIND_MM, ABOVE_MM, BELOW_MM = 270.0, 30.0, 130.0, 45.0
LEAST_FOOT_MM = 150.0  # with less of the picture on that side, the foot stands on the other
ALL_ROUND_MM = 220.0  # a foot from the front or below may stand on any side of the card
ROOM_SHARE = 0.35  # round the points of an earlier picture, of their extent
SAME_SHAPE = 0.02  # by so much of itself the shape of two pictures may differ


def box_by_card(
    corners: Sequence[Point], card_mm: float, size_px: tuple[float, float], toe_left: bool | None
) -> Box:
    """Round a foot beside the card (corners in px, side > 0). `toe_left`: which way the toe points, seen
    from outside the foot, the card before it; None for a foot that is not seen from the side."""
    across, down = [x for x, _ in corners], [y for _, y in corners]
    left, right, top, bottom = min(across), max(across), min(down), max(down)
    mm = 1 / mm_per_px(corners, card_mm)
    if toe_left is None:
        around = ALL_ROUND_MM * mm
        return _within(
            (left - around, top - around, right + around, bottom + around),
            size_px,
        )
    room = size_px[0] - right if toe_left else left
    both = room < LEAST_FOOT_MM * mm
    to_right = TO_THE_FOOT_MM if toe_left or both else BEHIND_MM
    to_left = BEHIND_MM if toe_left and not both else TO_THE_FOOT_MM
    box = (left - to_left * mm, top - ABOVE_MM * mm, right + to_right * mm, bottom + BELOW_MM * mm)
    return _within(box, size_px)


def box_by_points(
    points: Sequence[Point], size_px: tuple[float, float], on_px: tuple[float, float]
) -> Box | None:
    """Round where the points of an earlier picture of this size lie, on a picture of the size `on_px`;
    None where that says nothing: too few points, or pictures of another shape."""
    shape = (size_px[0] / size_px[1]) / (on_px[0] / on_px[1])
    if len(points) < 3 or abs(shape - 1) > SAME_SHAPE:
        return None
    larger = on_px[0] / size_px[0]
    across, down = [x * larger for x, _ in points], [y * larger for _, y in points]
    room = ROOM_SHARE * max(max(across) - min(across), max(down) - min(down))
    box = (min(across) - room, min(down) - room, max(across) + room, max(down) + room)
    return _within(box, on_px)


def _within(box: Box, size_px: tuple[float, float]) -> Box:
    left, top, right, bottom = box
    return max(left, 0.0), max(top, 0.0), min(right, size_px[0]), min(bottom, size_px[1])
