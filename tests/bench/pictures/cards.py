"""The card on rendered pictures: found, error of a corner, false finds, time; ours beside other ways.

    uv run python -m tests.bench.pictures.cards [--pictures 500] [--compare]

`--compare` also reads a framed square code of a barcode reader, which is no part of the product:
`uv run --with zxing-cpp==3.1.1 python -m tests.bench.pictures.cards --compare`.
No real photographs were available: what these pictures show was invented, in true perspective.
"""

import argparse
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from measurements.hoof.pictures.card_find import card_find
from tests.bench.pictures.readers import Reader, readers
from tests.hoof.pictures.rendered import Rendered, Shot, random_shot, rendered

SEED = 20261129
GOAL_FOUND, GOAL_ERROR_PX = 0.98, 0.7
Grey = npt.NDArray[np.uint8]


@dataclass
class Score:
    asked: int = 0
    found: int = 0
    wrong: int = 0
    errors_px: list[float] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)

    def add(
        self, corners: npt.NDArray[np.float64] | None, picture: Rendered, took_s: float
    ) -> None:
        self.asked += 1
        self.seconds.append(took_s)
        if corners is None:
            return
        assert picture.corners_px is not None
        errors = np.linalg.norm(corners - picture.corners_px, axis=1)
        if errors.max() > 0.25 * picture.shot.side_px:
            self.wrong += 1
            return
        self.found += 1
        self.errors_px += errors.tolist()

    def row(self, name: str) -> str:
        median, ninety, worst = np.quantile(self.errors_px or [np.nan], [0.5, 0.9, 1.0])
        return (
            f"{name:44} {self.found:4}/{self.asked:<4} {self.wrong:3} "
            f"{median:7.3f} {ninety:7.3f} {worst:7.2f} {1000 * float(np.median(self.seconds)):7.0f}"
        )


HEAD = f"{'':44} found     wrong  median   90 %   worst      ms"


def timed(
    read: Callable[[Grey], npt.NDArray[np.float64] | None], picture: Rendered, score: Score
) -> None:
    grey = picture.grey
    began = time.process_time()
    corners = read(grey)
    score.add(corners, picture, time.process_time() - began)


def ours(grey: Grey) -> npt.NDArray[np.float64] | None:
    card = card_find(grey)
    return None if card is None else card.corners_px


def cells(pictures: int) -> None:
    """All pictures, and those of each kind apart."""
    rng = np.random.default_rng(SEED)
    kinds: dict[str, Callable[[Shot], bool]] = {
        "all": lambda shot: True,
        "square of 50 to 80 px": lambda shot: shot.side_px < 80,
        "square of 150 px and more": lambda shot: shot.side_px >= 150,
        "at 1.5 to 3 m": lambda shot: shot.distance_mm >= 1500,
        "turned 15 degrees and more": lambda shot: abs(shot.turn_deg) >= 15,
        "dim (light under 0.4)": lambda shot: shot.light < 0.4,
        "soft (blur over 1.3 px)": lambda shot: shot.blur_px > 1.3,
        "blurred before the tone curve": lambda shot: shot.blur_in_light,
        "noisy (over 6 grey values)": lambda shot: shot.noise > 6,
        "a shadow's edge across it": lambda shot: shot.shade < 1,
        "curled by 0.5 or 1 mm": lambda shot: shot.curl_mm > 0,
        "JPEG 60 to 70": lambda shot: shot.quality <= 70,
    }
    scores = {name: Score() for name in kinds}
    for _ in range(pictures):
        picture = rendered(random_shot(rng))
        whole = Score()
        timed(ours, picture, whole)
        for name, belongs in kinds.items():
            if belongs(picture.shot):
                into = scores[name]
                into.asked, into.found = into.asked + 1, into.found + whole.found
                into.wrong += whole.wrong
                into.errors_px += whole.errors_px
                into.seconds += whole.seconds
    print(
        f"\nThe card on {pictures} pictures. Goal: {GOAL_FOUND:.0%} found, 90 % under {GOAL_ERROR_PX} px."
    )
    print(HEAD)
    for name, score in scores.items():
        print(score.row(name))


def without(pictures: int) -> None:
    rng = np.random.default_rng(SEED + 1)
    found, seconds = 0, []
    for _ in range(pictures):
        grey = rendered(random_shot(rng, card=False)).grey
        began = time.process_time()
        found += card_find(grey) is not None
        seconds.append(time.process_time() - began)
    print(
        f"\nWithout a card: {found} found on {pictures} pictures (goal 0); "
        f"{1000 * float(np.median(seconds)):.0f} ms a picture"
    )


# What is asked of each way: every picture, a card far off, and a soft picture of a small one.
HARDER: dict[str, dict[str, tuple[float, float]]] = {
    "as people take them": {},
    "square of 30 to 50 px": {"side_px": (30, 50), "blur_px": (0.4, 1.0)},
    "square of 50 to 80 px, blur of 1.5 to 2.5 px": {"side_px": (50, 80), "blur_px": (1.5, 2.5)},
}


def compared(pictures: int) -> None:
    """Each way on the same scenes, each with its own square painted on the card."""
    for words, ranges in HARDER.items():
        print(f"\nWays compared on {pictures} pictures: {words}.\n{HEAD}")
        for reader in readers():
            print(_compared(reader, ranges, pictures).row(reader.name), flush=True)


def _compared(reader: Reader, ranges: dict[str, tuple[float, float]], pictures: int) -> Score:
    rng, score = np.random.default_rng(SEED + 2), Score()
    for _ in range(pictures):
        shot = replace(random_shot(rng), card=1, width_px=800, height_px=600)
        changed: dict[str, Any] = {name: rng.uniform(*span) for name, span in ranges.items()}
        shot = replace(shot, **changed)
        timed(reader.read, rendered(shot, face=reader.face), score)
    return score


if __name__ == "__main__":
    asked = argparse.ArgumentParser()
    asked.add_argument("--pictures", type=int, default=500)
    asked.add_argument("--compare", action="store_true")
    told = asked.parse_args()
    if told.compare:
        compared(told.pictures)
    else:
        cells(told.pictures)
        without(told.pictures)
