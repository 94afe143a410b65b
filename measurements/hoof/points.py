"""Which points are placed on a picture of each view, in which order, and what each is called.

Names are those that the mathematics take (measurements/hoof/pictures). `at` is the place on the small
drawing that shows which point comes: 160 wide, 100 high, the toe at the left, the inside at the left.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

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
GROUND = ("ground_toe", "ground_heel")
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
        "toe_angle": (*GROUND, "toe_low", "toe_hairline"),
        "toe_length": (*GROUND, "toe_hairline"),
        "heel_angle": (*GROUND, "heel_low", "heel_hairline"),
        "heel_length": (*GROUND, "heel_hairline"),
        "pastern_angle": (*GROUND, "pastern_low", "pastern_high"),
    },
)
VIEWS: Mapping[str, ViewAsked] = {"side": SIDE}

# What comes out beside the quantities that are followed from visit to visit.
LABELS: Mapping[str, str] = {"heel_length": "heel length"}


def value_label(key: str) -> str:
    """The name of a value in words: "toe angle"."""
    return QUANTITIES[key].label if key in QUANTITIES else LABELS[key]


# The values that are followed from visit to visit as readings, by the name of their quantity. A picture
# from the side is taken from the outside of the foot: the heel that is seen is the outer one.
READING_OF: Mapping[str, str] = {
    **{key: key for key in QUANTITIES},
    "heel_length": "heel_length_lateral",
}
