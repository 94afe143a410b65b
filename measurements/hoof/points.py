"""Which points are placed on a picture of each view, in which order, and what each is called.

Names are those that the mathematics take (measurements/hoof/pictures). `at` is the place on the small
drawing that shows which point comes: 160 wide, 100 high, the toe at the left, the inside at the left.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from measurements.hoof.pictures import film, front_view, side_view, sole_view, whole_horse
from measurements.hoof.quantities import QUANTITIES

Kind = Literal["ground", "wall"]
Line = tuple[str, str]


@dataclass(frozen=True)
class PointAsked:
    """One point: `optional` where it may be left out; `kind` is the shape of its mark."""

    name: str
    words: str
    at: tuple[int, int]
    kind: Kind = "wall"
    optional: bool = False


@dataclass(frozen=True)
class ViewAsked:
    """All of one view: its points in their order, the lines drawn between them, the drawing under
    them, and which points each value needs."""

    points: tuple[PointAsked, ...]
    lines: tuple[Line, ...]
    drawing: str  # the outline as an SVG path
    needs: Mapping[str, tuple[str, ...]]  # the points of each value, in the order shown
    needs_marker: bool = False  # films: two ends of a marker of known length
    takes_card: bool = True  # the printed card gives the scale, where it is found
    of_one_foot: bool = True
    by_vets_only: bool = False
    has_sides: bool = (
        False  # inside and outside are seen: a right foot is drawn the other way round
    )

    @property
    def values(self) -> tuple[str, ...]:
        """What comes out, in the order in which it is shown."""
        return tuple(self.needs)

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(point.name for point in self.points)

    @property
    def needed(self) -> tuple[str, ...]:
        """The points without which there is nothing to reckon."""
        return tuple(point.name for point in self.points if not point.optional)


def _ground(name: str, words: str, at: tuple[int, int]) -> PointAsked:
    return PointAsked(name, words, at, "ground")


def _wall(name: str, words: str, at: tuple[int, int]) -> PointAsked:
    return PointAsked(name, words, at)


def _extra(name: str, words: str, at: tuple[int, int]) -> PointAsked:
    return PointAsked(name, words, at, optional=True)


# The toe wall's lower point is at the lower end of its straight upper third: a flare below it misleads,
# and a gauge lies on the same part. The working definitions of the others: evidence of the trade, from
# memory (hairline: last haired skin; heel wall: rearmost horn).
SIDE = ViewAsked(
    points=(
        _ground("ground_toe", "ground, under the toe", (24, 88)),
        _ground("ground_heel", "ground, under the heel", (124, 88)),
        _wall("toe_low", "toe wall, end of its straight upper third", (52, 56)),
        _wall("toe_hairline", "toe wall, at the hairline", (68, 36)),
        _wall("heel_low", "heel wall, low", (127, 82)),
        _wall("heel_hairline", "heel wall, at the hairline", (142, 60)),
        _extra("pastern_low", "front of the pastern, low", (78, 24)),
        _extra("pastern_high", "front of the pastern, high", (94, 6)),
    ),
    lines=(
        ("ground_toe", "ground_heel"),
        ("toe_low", "toe_hairline"),
        ("heel_low", "heel_hairline"),
        ("pastern_low", "pastern_high"),
    ),
    drawing="M24 88 68 36 142 60 124 88Z",
    needs={
        key: side_view.NEEDED[key]
        for key in ("toe_angle", "toe_length", "heel_angle", "heel_length", "pastern_angle")
    },
)
# Seen from the front of a left foot: its inside is at the left of the picture.
FRONT = ViewAsked(
    points=(
        _ground("ground_inside", "ground, under the inside wall", (32, 92)),
        _ground("ground_outside", "ground, under the outside wall", (128, 92)),
        _wall("inside_low", "inside wall, low", (36, 82)),
        _wall("inside_hairline", "inside wall, at the hairline", (52, 34)),
        _wall("outside_low", "outside wall, low", (124, 82)),
        _wall("outside_hairline", "outside wall, at the hairline", (108, 34)),
    ),
    lines=(
        ("ground_inside", "ground_outside"),
        ("inside_low", "inside_hairline"),
        ("outside_low", "outside_hairline"),
        ("inside_hairline", "outside_hairline"),
    ),
    drawing="M32 92 52 34Q80 20 108 34L128 92Z",
    needs=front_view.NEEDED,
    has_sides=True,
)
# A left foot's sole with the toe up: seen from below, its inside is at the left. One ink line is drawn, at the widest
# part, and the rest is said in words.
SOLE = ViewAsked(
    points=(
        _wall("toe", "toe, at its foremost edge", (80, 2)),
        _wall("heel_inside", "inside heel, where it last bears weight", (48, 92)),
        _wall("heel_outside", "outside heel, where it last bears weight", (112, 92)),
        _wall("widest_inside", "widest part, inside edge", (30, 48)),
        _wall("widest_outside", "widest part, outside edge", (130, 48)),
        _wall("breakover", "breakover: where it last touches as it rolls over", (80, 10)),
        _extra("frog_tip", "point of the frog", (80, 34)),
        _extra("frog_back", "back edge of the frog", (80, 90)),
        _extra("frog_inside", "frog at its widest, inside", (64, 84)),
        _extra("frog_outside", "frog at its widest, outside", (96, 84)),
    ),
    lines=(("widest_inside", "widest_outside"),),
    drawing="M48 92Q22 66 32 40 44 4 80 2 116 4 128 40 138 66 112 92L80 34Z",
    needs=sole_view.NEEDED,
    has_sides=True,
)
# Where the lines run: common practice, no source. People differ most about the shoulder.
WHOLE = ViewAsked(
    points=(
        _wall("shoulder_low", "point of the shoulder", (44, 46)),
        _wall("shoulder_high", "top of the shoulder blade, before the withers", (64, 18)),
        _wall("pastern_low", "front of the fore pastern, low", (46, 86)),
        _wall("pastern_high", "front of the fore pastern, high", (50, 79)),
        _wall("hoof_low", "toe wall of the fore foot, low", (40, 95)),
        _wall("hoof_high", "toe wall of the fore foot, at the hairline", (44, 89)),
        PointAsked("ground_front", "ground, under the fore foot", (40, 98), "ground", True),
        PointAsked("ground_back", "ground, under the hind foot", (126, 98), "ground", True),
    ),
    lines=(
        ("shoulder_low", "shoulder_high"),
        ("pastern_low", "pastern_high"),
        ("hoof_low", "hoof_high"),
        ("ground_front", "ground_back"),
    ),
    drawing="M16 22 34 6 62 18Q96 28 126 22L140 46 130 60 134 98H124L116 62Q84 68 60 58L52 98H40L44 46Z",
    needs=whole_horse.NEEDED,
    takes_card=False,
    of_one_foot=False,
)
# Films: the bone's lines as they are drawn on one by hand. Common practice, no source.
_MARKER = (
    _wall("marker_start", "marker, one end", (6, 40)),
    _wall("marker_end", "marker, other end", (6, 70)),
)
FILM_SIDE = ViewAsked(
    points=(
        *_MARKER,
        _ground("ground_toe", "ground, under the toe", (24, 88)),
        _ground("ground_heel", "ground, under the heel", (124, 88)),
        _wall("wall_high", "front of the wall, high", (64, 40)),
        _wall("wall_low", "front of the wall, low", (34, 76)),
        _wall("bone_high", "front of the coffin bone, high", (76, 46)),
        _wall("bone_low", "front of the coffin bone, low", (52, 72)),
        _wall("bone_tip", "tip of the coffin bone", (46, 78)),
        _wall("bone_heel", "lower edge of the coffin bone, at the heel", (112, 74)),
        _wall("sole_under_tip", "sole, under the tip", (46, 86)),
        _extra("extensor", "top of the extensor process", (80, 38)),
        _extra("hairline", "hairline in front", (68, 34)),
        _extra("breakover", "breakover: where it last touches", (32, 88)),
    ),
    lines=(
        ("marker_start", "marker_end"),
        ("ground_toe", "ground_heel"),
        ("wall_low", "wall_high"),
        ("bone_low", "bone_high"),
        ("bone_tip", "bone_heel"),
    ),
    drawing="M24 88 68 34 142 60 124 88ZM46 78 78 38 98 58 112 74Z",
    needs=film.SIDE_NEEDED,
    needs_marker=True,
    takes_card=False,
    by_vets_only=True,
)
FILM_FRONT = ViewAsked(
    points=(
        *_MARKER,
        _ground("ground_inside", "ground, inside", (34, 92)),
        _ground("ground_outside", "ground, outside", (126, 92)),
        _wall("bone_inside", "lower edge of the coffin bone, inside", (46, 76)),
        _wall("bone_outside", "lower edge of the coffin bone, outside", (114, 76)),
        _wall("joint_inside", "joint line, inside end", (56, 50)),
        _wall("joint_outside", "joint line, outside end", (104, 50)),
    ),
    lines=(
        ("marker_start", "marker_end"),
        ("ground_inside", "ground_outside"),
        ("bone_inside", "bone_outside"),
        ("joint_inside", "joint_outside"),
    ),
    drawing="M34 92 52 30H108L126 92ZM46 76 56 50H104L114 76Z",
    needs=film.FRONT_NEEDED,
    needs_marker=True,
    takes_card=False,
    by_vets_only=True,
    has_sides=True,
)
# The corners of the card's black square, where it is not found by itself. In whatever order they are
# tapped: the square is the same from each (see hoof/pictures/homography.py). Where they are is not drawn.
CARD_CORNERS = tuple(
    _extra(f"card_{number}", f"the card's black square, {where} corner", (0, 0))
    for number, where in enumerate(("upper left", "upper right", "lower right", "lower left"), 1)
)
VIEWS: Mapping[str, ViewAsked] = {
    "side": SIDE,
    "front": FRONT,
    "sole": SOLE,
    "whole": WHOLE,
    "film_side": FILM_SIDE,
    "film_front": FILM_FRONT,
}

# What comes out beside the quantities that are followed from visit to visit.
LABELS: Mapping[str, str] = {
    "heel_length": "heel length",
    "inside_wall_angle": "inside wall",
    "outside_wall_angle": "outside wall",
    "breakover_to_heel": "breakover to heels",
    "breakover_to_widest": "in front of the widest part",
    "widest_to_heel": "behind the widest part",
    "shoulder_slope": "slope of the shoulder",
    "pastern_slope": "slope of the pastern",
    "hoof_slope": "slope of the hoof",
    "wall_to_bone_high": "wall to bone, high",
    "wall_to_bone_low": "wall to bone, low",
    "tip_to_breakover": "tip to breakover",
    "inside_depth": "depth, inside",
    "outside_depth": "depth, outside",
}
# What may lie to either side: its name above zero, below it, and where it is not to be told.
DIFFERENCES: Mapping[str, tuple[str, str, str]] = {
    "height_difference": (
        "inside hairline higher",
        "outside hairline higher",
        "inside against outside hairline",
    ),
    "extensor_below_hairline": (
        "extensor process below the hairline",
        "extensor process above the hairline",
        "extensor process against the hairline",
    ),
    "capsule_against_bone": (
        "bone steeper than wall",
        "wall steeper than bone",
        "bone against wall",
    ),
    "joint_line": (
        "joint line higher inside",
        "joint line higher outside",
        "joint line, inside against outside",
    ),
    "shoulder_less_pastern": (
        "shoulder steeper than pastern",
        "pastern steeper than shoulder",
        "shoulder against pastern",
    ),
    "pastern_less_hoof": (
        "pastern steeper than hoof",
        "hoof steeper than pastern",
        "pastern against hoof",
    ),
}


def value_label(key: str, value: float = 0.0) -> str:
    """The name of a value in words: "toe angle"; of a difference by the side on which it lies."""
    if key in DIFFERENCES:
        return DIFFERENCES[key][2 if value == 0 else value < 0]
    return QUANTITIES[key].label if key in QUANTITIES else LABELS[key]


# The values that are followed from visit to visit as readings, by the name of their quantity. A picture
# from the side is taken from the outside of the foot: the heel that is seen is the outer one.
READING_OF: Mapping[str, str] = {
    **{key: key for key in QUANTITIES},
    "heel_length": "heel_length_lateral",
}
