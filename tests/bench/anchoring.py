"""What a shown last value would do to detection: `uv run python -m tests.bench.anchoring [--quick]`.

Each reading is pulled towards the last one of its kind on that foot, as it was written down: by a share
of the difference, from nothing to half of it. The product's own entry judges the pulled series. Nobody
has measured how strong the pull is on a hoof; the shares are assumptions, not findings.
"""

import argparse
from collections.abc import Iterable, Iterator
from dataclasses import replace

import numpy as np

from measurements.hoof.series import SeriesReading
from tests.bench.drift_compare import DRIFT, FAST, SEED, STABLE, STEP
from tests.bench.drift_score import Score, score_product
from tests.bench.drift_simulate import Simulated, simulate_many

PULLS = (0.0, 0.1, 0.2, 0.3, 0.5)  # share of the difference to the last value
STEP_DEG = 0.5  # the form's step: values are written down in steps of it


def pulled(readings: Iterable[SeriesReading], share: float) -> list[SeriesReading]:
    """The readings as they would be written down, in steps of 0.5 deg; each pulled by `share` towards
    the one before it that was taken at the same moment, as that one was written down."""
    last: dict[str, float] = {}
    found = []
    for reading in readings:
        value = reading.value
        if reading.trim_state in last:
            value += share * (last[reading.trim_state] - value)
        value = round(value / STEP_DEG) * STEP_DEG
        last[reading.trim_state] = value
        found.append(replace(reading, value=value))
    return found


def _all_pulled(many: Iterable[Simulated], share: float) -> Iterator[Simulated]:
    for series in many:
        rows = {key: pulled(rows, share) for key, rows in series.readings.items()}
        yield replace(series, readings=rows)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true")
    quick = parser.parse_args().quick
    stable, changed = (250, 80) if quick else (1200, 400)
    cells = {"0.5° a cycle": DRIFT, "1° a cycle": FAST, "a step of 3°": STEP}
    print("pull   false alarms   found within 6 visits (mean delay, never as 16)")
    print("       per 100 visits " + "".join(f"{name:>22s}" for name in cells))
    for share in PULLS:
        still = score_product(_all_pulled(simulate_many(STABLE, stable, SEED + 71), share))
        scores = [
            score_product(_all_pulled(simulate_many(scenario, changed, SEED + 72 + place), share))
            for place, scenario in enumerate(cells.values())
        ]
        line = "".join(f"{_cell(score):>22s}" for score in scores)
        print(f"{share:4.0%}   {still.per_100_visits:14.2f} {line}", flush=True)


def _cell(score: Score) -> str:
    delay = float(np.minimum(score.delays, 16.0).mean())
    return f"{score.within(6):.0%} ({delay:.1f})"


if __name__ == "__main__":
    main()
