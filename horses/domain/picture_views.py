"""What a picture can show, and how to stand and aim for it, in short words.

Where the camera stands is from the simulation of a camera in `tests/bench/` and from common practice
among farriers, no source: low and square on, because a picture from above makes a foot look steeper.
"""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class ViewGuide:
    key: str
    words: str
    how: str
    of_a_foot: bool = True
    with_card: bool = False
    vet_only: bool = False


FILM_HOW = (
    "A JPEG or the DICOM file, with a marker of known length on it. Names written into the picture itself "
    "stay readable."
)

GUIDES: tuple[ViewGuide, ...] = (
    ViewGuide(
        "side",
        "From the side",
        "Lens as low as the hoof, straight at its side. Toe and heel equally far away.",
        with_card=True,
    ),
    ViewGuide(
        "front",
        "From the front",
        "Lens as low as the hoof, straight at the toe.",
        with_card=True,
    ),
    ViewGuide(
        "sole",
        "The sole",
        "Cleaned, and held up by somebody used to it. Straight onto it, heels in the picture.",
    ),
    ViewGuide(
        "whole",
        "Whole horse, from the left",
        "Standing square on level ground. Far enough for all of it, lens as high as its elbow.",
        of_a_foot=False,
    ),
    ViewGuide(
        "place",
        "The place itself",
        "As near as it stays sharp.",
        of_a_foot=False,
    ),
    ViewGuide(
        "film_side",
        "Film from the side",
        FILM_HOW,
        vet_only=True,
    ),
    ViewGuide(
        "film_front",
        "Film from the front",
        FILM_HOW,
        vet_only=True,
    ),
)
GUIDE = {guide.key: guide for guide in GUIDES}

# For every picture of a living foot.
SAFE: tuple[str, ...] = (
    "Somebody holds the horse.",
    "Nobody kneels or sits beside it. Hold the phone low at arm's length, or on a stick.",
)
CARD = (
    "With the printed card: it stands upright on the ground, in line with the middle of the foot, facing "
    "the camera."
)


def offered(*, vet: bool) -> Sequence[ViewGuide]:
    return [guide for guide in GUIDES if vet or not guide.vet_only]
