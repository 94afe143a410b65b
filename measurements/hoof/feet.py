"""The four feet, their sides and their names."""

from enum import StrEnum
from typing import Literal

SideStyle = Literal["left_right", "near_off"]


class Foot(StrEnum):
    """One foot, by the usual two letters (left or right, fore or hind)."""

    LF = "LF"
    RF = "RF"
    LH = "LH"
    RH = "RH"

    @property
    def label(self) -> str:
        """The plain name, such as "left fore"."""
        return label(self)


_PARTNERS = {Foot.LF: Foot.RF, Foot.RF: Foot.LF, Foot.LH: Foot.RH, Foot.RH: Foot.LH}

# Near is the horse's left, the side one leads and mounts from; off is the right.
# Common practice, no source.
_SIDE_WORDS: dict[SideStyle, tuple[str, str]] = {
    "left_right": ("left", "right"),
    "near_off": ("near", "off"),
}


def is_fore(foot: Foot) -> bool:
    """Whether this is a front foot."""
    return foot in (Foot.LF, Foot.RF)


def is_left(foot: Foot) -> bool:
    """Whether this foot is on the horse's own left (near) side."""
    return foot in (Foot.LF, Foot.LH)


def partner(foot: Foot) -> Foot:
    """The foot of the same pair on the other side of the horse."""
    return _PARTNERS[foot]


def side_word(side: Literal["left", "right"], style: SideStyle = "left_right") -> str:
    """The side in the person's own words: "left" or "near", "right" or "off"."""
    return _SIDE_WORDS[style][0 if side == "left" else 1]


def label(foot: Foot, style: SideStyle = "left_right") -> str:
    """The foot in words: "left fore", or "near fore" with `style="near_off"`."""
    side = side_word("left" if is_left(foot) else "right", style)
    return f"{side} {'fore' if is_fore(foot) else 'hind'}"
