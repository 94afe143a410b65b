"""Pictures against a gauge, for anyone with a phone: `uv run python -m tests.bench.pictures.compare FILE.csv`.

No photographs of real feet with a card were available when this was written, so how well pictures
do beside a gauge is not known. To find out and publish it:

1. Print the card, stand it beside the foot as its words say, take the picture from the side.
2. Measure the same foot with a gauge and a tape before anybody sees a value off the picture.
3. Place the points (in the app, or as JSON) and run `manage.py measure_picture` with `--out`.
4. Write a CSV with a row a value:

    picture,foot,quantity,gauge,result
    IMG_1.jpg,horse-1-LF,toe_angle,51.5,result-1.json
    IMG_1.jpg,horse-1-LF,toe_length,84,result-1.json

`gauge` is in degrees or mm; `result` is the JSON of step 3, beside the CSV; `foot` is any name that is
the same for the same foot, since several pictures of one foot count as one. Prints, by quantity,
the bias with its 95 % interval, the 95 % limits of agreement (Bland & Altman, Lancet 1986;i:307-310)
and how often the two lie within what their errors allow.

From literature: two people on two photographs agreed with indices of at least .89, and the hoof angle
was not among what met its target against radiographs (White et al., Equine Vet J
2008;40:623-628); methods cannot stand in for each other for angles (J Equine Vet Sci
2023;121:104195).
"""

import argparse
import csv
import json
import math
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from measurements.hoof.quantities import QUANTITIES, Method, Quantity, error_sd
from measurements.hoof.student_t import t_quantile

COLUMNS = ("picture", "foot", "quantity", "gauge", "result")
FEW = 40  # limits of agreement from fewer pairs are too narrow (Carkeet & Goh 2018)


class BadTable(Exception):
    """The table cannot be read; says which row and why."""


@dataclass(frozen=True)
class Pair:
    """One value off a picture beside one by hand."""

    foot: str
    picture: float
    picture_sd: float
    gauge: float


def pairs_of(path: Path) -> dict[str, list[Pair]]:
    """The pairs by quantity; values that the picture refused are left out. Raises `BadTable`."""
    found: dict[str, list[Pair]] = defaultdict(list)
    with path.open(newline="", encoding="utf-8-sig") as handle:
        rows = csv.DictReader(handle)
        if rows.fieldnames is None or not set(COLUMNS) <= set(rows.fieldnames):
            raise BadTable(f"The first row must name the columns {', '.join(COLUMNS)}.")
        for number, row in enumerate(rows, start=2):
            try:
                result = json.loads((path.parent / row["result"]).read_text(encoding="utf-8"))
                said = result[row["quantity"]]
                gauge = float(row["gauge"])
                if not math.isfinite(gauge):
                    raise ValueError("the gauge's value is no number")
                if "refused" not in said:
                    pair = Pair(row["foot"], float(said["value"]), float(said["sd"]), gauge)
                    found[row["quantity"]].append(pair)
            except (OSError, KeyError, TypeError, ValueError) as error:
                raise BadTable(f"Row {number}: {error}") from error
    return found


def lines(quantity: str, pairs: list[Pair]) -> list[str]:
    """What is printed of one quantity."""
    of = _quantity(quantity)
    unit = "deg" if of.unit == "deg" else "mm"
    by_foot: dict[str, list[Pair]] = defaultdict(list)
    for pair in pairs:
        by_foot[pair.foot].append(pair)
    means = np.array([np.mean([p.picture - p.gauge for p in own]) for own in by_foot.values()])
    said = [f"{quantity}: {len(pairs)} values of {len(means)} feet"]
    if len(means) < 2:
        return [*said, "  too few feet to compare"]
    bias, spread = float(means.mean()), float(means.std(ddof=1))
    half = t_quantile(0.95, len(means) - 1) * spread / len(means) ** 0.5
    low, high = bias - 1.96 * spread, bias + 1.96 * spread
    said.append(
        f"  picture less gauge {bias:+.2f} {unit} (95 % {bias - half:+.2f} to {bias + half:+.2f})"
    )
    doubt = f"; from fewer than {FEW} feet these are too narrow" if len(means) < FEW else ""
    said.append(f"  limits of agreement {low:+.2f} to {high:+.2f} {unit}{doubt}")
    by_hand = error_sd(of, Method.GAUGE if of.is_angle else Method.TAPE)
    within = np.mean(
        [abs(p.picture - p.gauge) < 1.96 * math.hypot(p.picture_sd, by_hand) for p in pairs]
    )
    said.append(f"  within what both errors allow: {100 * within:.0f} % (95 expected)")
    return said


def _quantity(name: str) -> Quantity:
    return QUANTITIES["heel_length_lateral" if name == "heel_length" else name]


def main() -> None:
    """Prints the comparison of one table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("table", type=Path)
    try:
        found = pairs_of(asked.parse_args().table)
    except BadTable as error:
        raise SystemExit(str(error)) from error
    for quantity in sorted(found):
        print("\n".join(lines(quantity, found[quantity])))


if __name__ == "__main__":
    main()
