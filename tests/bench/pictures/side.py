"""Feet on made-up pictures: `uv run python -m tests.bench.pictures.side [--scenes 2000] [--only NAME]`.

Two cameras of their own in true perspective photograph feet and a card that is not quite in their plane.
Of "held" (tests/hoof/pictures/camera.py) the card is at any height and askew, as in a hand; of "stands"
(third_camera.py) it stands on the ground. The measuring is told neither, nor how far the card is off
nor how steady the hand was, where a cell does not say "told". A row a quantity and cell: bias, root
mean square error, the SD said and how often the 95 % interval holds the truth, the goal beside it; `!`
marks a miss. The seed is fixed: cells see the same feet.
"""

import argparse
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from measurements.hoof.pictures.measured import TAP_PX, Measured
from measurements.hoof.pictures.side_view import NEEDED, measure_side
from tests.bench.pictures.third_camera import Feet, Shots, Stand, taken
from tests.hoof.pictures.camera import Cell, Scene, scene

SEED = 1_812
Make = Callable[[np.random.Generator], Scene]
FILL = (0.4, 0.5)  # of the long edge, by the ground the foot stands on; the card beside it fills it
FAR = (1_500.0, 3_000.0)
WIDE_OFF_MM_SD = 40.0 / 3**0.5  # what is told of a card anywhere within 40 mm
RMSE_GOALS = {"toe_angle": 0.8, "heel_angle": 1.6, "toe_length": 2.0}
BIAS_GOAL, COVERED_LOW, COVERED_HIGH = 0.15, 0.93, 0.97


@dataclass(frozen=True)
class Row:
    """A cell: how its pictures are made, whether the goals of accuracy hold for it, and what is told of
    the hand (px), of the card's place (SD, mm) and of the lens."""

    name: str
    make: Make
    accurate: bool = False
    tap_px: float | None = None
    off_mm_sd: float | None = None
    focal_told: bool = False


def _held(**cell: object) -> Make:
    made = replace(Cell("held", fill=FILL), **cell)  # type: ignore[arg-type]
    return lambda rng: scene(rng, made)


def _stands(feet: Feet, stand: Stand, shots: Shots) -> Make:
    return lambda rng: taken(rng, feet, stand, shots)


BROAD, NARROW = Feet(), Feet(nearer=(15.0, 35.0), slants=6.0)
STAND, LOOSE, EXACT = Stand(), Stand(turned=2.0, leans=2.0), Stand(turned=0, leans=0, rolled=0)
EITHER_WAY = (-10.0, 10.0)  # looking down or, the lens at the ground, up
NEAR, AWAY = Shots(), Shots(distance=FAR)

ROWS = (
    Row("held, 0.6-1.1 m", _held(), accurate=True),
    Row("held, 1.5-3 m", _held(distance_mm=FAR), accurate=True),
    Row("held, near, looking down 0-10 deg", _held(tilted=(0.0, 10.0)), accurate=True),
    Row("held, near, taps 4 px", _held(tap_px=4.0)),
    Row("held, far, taps 4 px", _held(distance_mm=FAR, tap_px=4.0)),
    Row("held, near, turned to 25 deg", _held(turned=25.0)),
    Row("held, far, turned to 25 deg", _held(distance_mm=FAR, turned=25.0)),
    Row("held, near, card to 40 mm off", _held(card_off=40.0)),
    Row("held, far, card to 40 mm off", _held(card_off=40.0, distance_mm=FAR)),
    Row("held, near, card to 40 mm off, told", _held(card_off=40.0), off_mm_sd=WIDE_OFF_MM_SD),
    Row("held, near, taps 4 px, told", _held(tap_px=4.0), tap_px=4.0),
    Row("held, near, taps 2 px, told", _held(), accurate=True, tap_px=2.0),
    Row("held, near, no card", _held(with_card=False)),
    Row("held, far, no card", _held(with_card=False, distance_mm=FAR)),
    Row("held, near, no card, looking down", _held(with_card=False, tilted=(0.0, 10.0))),
    Row("held, near, focal length told", _held(), accurate=True, focal_told=True),
    Row("stands, 0.6-1.1 m", _stands(BROAD, STAND, NEAR), accurate=True),
    Row("stands, 1.5-3 m", _stands(BROAD, STAND, AWAY), accurate=True),
    Row(
        "stands, near, looking down or up 10 deg",
        _stands(BROAD, EXACT, replace(NEAR, looks_down=EITHER_WAY)),
        accurate=True,
    ),
    Row("stands, near, 4,000 px", _stands(BROAD, STAND, replace(NEAR, long_edge=4_000.0))),
    Row("stands, near, taps 4 px", _stands(BROAD, STAND, replace(NEAR, tap_px=4.0))),
    Row("stands, far, taps 4 px", _stands(BROAD, STAND, replace(AWAY, tap_px=4.0))),
    Row("stands, near, turned to 25 deg", _stands(BROAD, STAND, replace(NEAR, turned=25.0))),
    Row("stands, far, turned to 25 deg", _stands(BROAD, STAND, replace(AWAY, turned=25.0))),
    Row("stands, near, card to 40 mm off", _stands(BROAD, replace(STAND, off=40.0), NEAR)),
    Row("stands, far, card to 40 mm off", _stands(BROAD, replace(STAND, off=40.0), AWAY)),
    Row(
        "stands, near, card 40 mm off exactly",
        _stands(BROAD, replace(STAND, off=40.0, off_exact=True), NEAR),
    ),
    Row(
        "stands, near, looking down or up, card to 40 mm off",
        _stands(BROAD, replace(EXACT, off=40.0), replace(NEAR, looks_down=EITHER_WAY)),
    ),
    Row("stands on a block of 10 mm", _stands(BROAD, Stand(middle=(60.0, 60.0)), NEAR)),
    Row(
        "stands on a block of 10 mm, card to 40 mm off",
        _stands(BROAD, Stand(middle=(60.0, 60.0), off=40.0), NEAR),
    ),
    Row("stands, near, no card", _stands(BROAD, STAND, replace(NEAR, with_card=False))),
    Row("stands, near, narrow slanting heels", _stands(NARROW, LOOSE, NEAR), accurate=True),
    Row("stands, far, narrow slanting heels", _stands(NARROW, LOOSE, AWAY), accurate=True),
    Row(
        "stands, near, narrow slanting heels, turned to 25 deg",
        _stands(NARROW, LOOSE, replace(NEAR, turned=25.0)),
    ),
    Row("stands, near, flared toes", _stands(replace(BROAD, flare_deg=10.0), STAND, NEAR)),
    Row("stands, near, flat feet on paper", _stands(Feet(nearer=(0.0, 0.0)), STAND, NEAR)),
)


@dataclass(frozen=True)
class Found:
    """Of one quantity in one cell: errors, SDs said and half intervals said (n,)."""

    error: np.ndarray
    sd: np.ndarray
    half: np.ndarray

    @property
    def covered(self) -> float:
        """How often the interval holds the truth."""
        return float(np.mean(np.abs(self.error) <= self.half))


def measured(row: Row, scenes: int) -> tuple[dict[str, Found], int]:
    """What was found by quantity, and how many values were refused."""
    rng = np.random.default_rng(SEED)
    found: dict[str, list[tuple[float, float, float]]] = defaultdict(list)
    refused = 0
    for _ in range(scenes):
        made = row.make(rng)
        answers = measure_side(
            made.points,
            card=made.card,
            size_px=made.size_px,
            card_off_mm_sd=row.off_mm_sd,
            focal_px=made.focal_px if row.focal_told else None,
            tap_px=row.tap_px or TAP_PX,
            tap_known=row.tap_px is not None,
        )
        for quantity, truth in made.truth.items():
            answer = answers[quantity]
            if isinstance(answer, Measured):
                half = (answer.high95 - answer.low95) / 2
                found[quantity].append((answer.value - truth, answer.sd, half))
            elif made.card is not None:
                refused += 1
    return {quantity: Found(*np.array(rows).T) for quantity, rows in found.items()}, refused


def print_row(row: Row, scenes: int) -> None:
    """The lines of one cell."""
    found, refused = measured(row, scenes)
    print(f"{row.name} ({scenes} scenes, {refused} values refused)")
    for quantity in NEEDED:
        if quantity not in found:
            continue
        of = found[quantity]
        bias, rmse = float(of.error.mean()), float(np.sqrt(np.square(of.error).mean()))
        goal = RMSE_GOALS.get(quantity) if row.accurate else None
        wide = "" if goal is None else f" <= {goal:.1f}{_mark(rmse <= goal)}"
        off = "" if goal is None else f" < {BIAS_GOAL}{_mark(abs(bias) < BIAS_GOAL)}"
        held = _mark(COVERED_LOW <= of.covered <= COVERED_HIGH)
        print(
            f"  {quantity:14s} bias {bias:+.2f}{off:10s} rmse {rmse:.2f}{wide:10s} "
            f"said {np.sqrt(np.square(of.sd).mean()):.2f}  95 % holds {100 * of.covered:.1f} %{held}",
            flush=True,
        )


def _mark(met: bool) -> str:
    return "" if met else " !"


def main() -> None:
    """Prints the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--scenes", type=int, default=2_000)
    asked.add_argument("--only", default="")
    options = asked.parse_args()
    for row in ROWS:
        if options.only in row.name:
            print_row(row, options.scenes)


if __name__ == "__main__":
    main()
