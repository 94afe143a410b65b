"""Feet on made-up pictures: `uv run python -m tests.bench.pictures.side [--scenes 2000] [--only NAME]`.

A camera of its own in true perspective (tests/hoof/pictures/camera.py) photographs feet of 60 to 110
mm toe length, toe angles of 40 to 65 and heel angles of 30 to 60 deg, each with a depth of its own,
and a card held not quite in its plane. A row a quantity and cell: bias, root mean square error, the
SD said and how often the 95 % interval holds the truth, the goal beside it; `!` marks a miss. The
last cells are worse or better than the method takes for granted, to show what that costs.
The seed is fixed: cells see the same feet.
"""

import argparse
from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from measurements.hoof.pictures.measured import CARD_OFF_MM_SD, Measured
from measurements.hoof.pictures.side_view import NEEDED, measure_side
from tests.hoof.pictures.camera import Cell, scene

SEED = 1_812
FILL = (0.4, 0.5)  # of the long edge, by the ground the foot stands on; the card beside it fills it
FAR = (1_500.0, 3_000.0)
WIDE_OFF_MM_SD = 40.0 / 3**0.5  # what is told of a card anywhere within 40 mm
RMSE_GOALS = {"toe_angle": 0.8, "heel_angle": 1.6, "toe_length": 2.0}
BIAS_GOAL, COVERED_LOW, COVERED_HIGH = 0.15, 0.93, 0.97


@dataclass(frozen=True)
class Row:
    """A cell, what is told of the card's place (SD, mm), and whether the goals of accuracy hold for
    it; `assumed`: made as the method takes for granted, so that the goal of coverage holds."""

    cell: Cell
    off_mm_sd: float = CARD_OFF_MM_SD
    accurate: bool = False
    assumed: bool = True
    focal_told: bool = False


ROWS = (
    Row(Cell("0.6-1.1 m, taps 2 px", fill=FILL), accurate=True),
    Row(Cell("1.5-3 m, taps 2 px", fill=FILL, distance_mm=FAR), accurate=True),
    Row(Cell("near, looking down 0-10 deg", fill=FILL, tilted=(0.0, 10.0)), accurate=True),
    Row(Cell("near, 4,000 px", fill=FILL, long_edge_px=4_000.0), accurate=True),
    Row(Cell("far, 4,000 px", fill=FILL, distance_mm=FAR, long_edge_px=4_000.0), accurate=True),
    Row(Cell("near, taps 4 px", fill=FILL, tap_px=4.0)),
    Row(Cell("far, taps 4 px", fill=FILL, distance_mm=FAR, tap_px=4.0)),
    Row(Cell("near, turned to 25 deg", fill=FILL, turned=25.0)),
    Row(Cell("far, turned to 25 deg", fill=FILL, distance_mm=FAR, turned=25.0)),
    Row(Cell("near, card to 40 mm off, told", fill=FILL, card_off=40.0), WIDE_OFF_MM_SD),
    Row(
        Cell("far, card to 40 mm off, told", fill=FILL, card_off=40.0, distance_mm=FAR),
        WIDE_OFF_MM_SD,
    ),
    Row(
        Cell(
            "near, all of it, told",
            fill=FILL,
            card_off=40.0,
            turned=25.0,
            tap_px=4.0,
        ),
        WIDE_OFF_MM_SD,
    ),
    Row(Cell("near, the foot smaller", fill=(0.2, 0.4))),
    Row(Cell("near, no card", fill=FILL, with_card=False)),
    Row(Cell("far, no card", fill=FILL, with_card=False, distance_mm=FAR)),
    Row(Cell("near, no card, looking down", fill=FILL, with_card=False, tilted=(0.0, 10.0))),
    Row(Cell("near, focal length told", fill=FILL), accurate=True, focal_told=True),
    Row(Cell("far, focal length told", fill=FILL, distance_mm=FAR), accurate=True, focal_told=True),
    Row(Cell("near, card to 40 mm off, not told", fill=FILL, card_off=40.0), assumed=False),
    Row(
        Cell("better than assumed", fill=FILL, card_turned=0.0, card_leans=0.0, heel_slant_mm=0.0),
        assumed=False,
    ),
    Row(
        Cell("worse than assumed", fill=FILL, card_turned=8.0, card_leans=3.0, heel_slant_mm=4.0),
        assumed=False,
    ),
)


def measured(row: Row, scenes: int) -> tuple[dict[str, np.ndarray], int]:
    """By quantity an array of (error, SD said), and how many values were refused."""
    rng = np.random.default_rng(SEED)
    found: dict[str, list[tuple[float, float]]] = defaultdict(list)
    refused = 0
    for _ in range(scenes):
        made = scene(rng, row.cell)
        answers = measure_side(
            made.points,
            card=made.card,
            size_px=made.size_px,
            tap_px=row.cell.tap_px,
            card_off_mm_sd=row.off_mm_sd,
            focal_px=made.focal_px if row.focal_told else None,
        )
        for quantity, truth in made.truth.items():
            answer = answers[quantity]
            if isinstance(answer, Measured):
                found[quantity].append((answer.value - truth, answer.sd))
            elif made.card is not None:
                refused += 1
    return {quantity: np.array(pairs) for quantity, pairs in found.items()}, refused


def print_row(row: Row, scenes: int) -> None:
    """The lines of one cell."""
    found, refused = measured(row, scenes)
    print(f"{row.cell.name} ({scenes} scenes, {refused} values refused)")
    for quantity in NEEDED:
        if quantity not in found:
            continue
        error, sd = found[quantity].T
        bias, rmse = float(error.mean()), float(np.sqrt(np.square(error).mean()))
        covered = float(np.mean(np.abs(error) < 1.96 * sd))
        goal = RMSE_GOALS.get(quantity) if row.accurate else None
        wide = "" if goal is None else f" <= {goal:.1f}{_mark(rmse <= goal)}"
        off = "" if goal is None else f" < {BIAS_GOAL}{_mark(abs(bias) < BIAS_GOAL)}"
        held = _mark(COVERED_LOW <= covered <= COVERED_HIGH) if row.assumed else ""
        print(
            f"  {quantity:14s} bias {bias:+.2f}{off:10s} rmse {rmse:.2f}{wide:10s} "
            f"said {np.sqrt(np.square(sd).mean()):.2f}  95 % holds {100 * covered:.1f} %{held}",
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
        if options.only in row.cell.name:
            print_row(row, options.scenes)


if __name__ == "__main__":
    main()
