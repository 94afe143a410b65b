"""Fits the surrogate for the alarm limits: `uv run python -m tests.bench.train_limits`.

Limits of feet drawn by chance are simulated, and the features of the same feet are fitted to them;
the table is written where the product reads it. Fixed seeds: run again it writes the same table, but
for what another numpy or processor rounds otherwise. About three minutes of one core. To be run again
after a change of the statistic, the priors or the shares (the test of the table fails then).
"""

import argparse
import sys
import textwrap
from pathlib import Path

import numpy as np

from measurements.hoof.drift import limit_table
from measurements.hoof.drift.foot import FootSeries
from measurements.hoof.drift.limit_features import look_features
from measurements.hoof.drift.limit_surrogate import Surrogate, fit_surrogate
from measurements.hoof.drift.limits import limits_from_paths, simulate_statistics
from measurements.hoof.drift.priors import VISITS_PER_FALSE_ALARM
from tests.bench.limit_designs import random_foot

# By how many quantities are judged together.
DESIGNS = {1: 300, 2: 400}
PATHS = {1: 16_000, 2: 8_000}
SEEDS = {1: 1, 2: 2}
RIDGE = 0.1  # chosen by leaving out every fifth design; ten times less or more changes little
TABLE = Path(limit_table.__file__)
_DIGITS = 10
_WIDTH = 98
_HEAD = '''"""The fits of the alarm limits, by how many quantities are judged together (`limit_surrogate`).

Written by `python -m tests.bench.train_limits`; not to be edited by hand.
"""

'''


def main(arguments: list[str] | None = None) -> int:
    """Simulates, fits, writes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--keep", type=Path, help="a folder to keep simulated limits in")
    asked = parser.parse_args(arguments)
    fits = {count: _fit(count, asked.keep) for count in SEEDS}
    parts = "".join(f"    {count}: {{\n{_written(fit)}    }},\n" for count, fit in fits.items())
    TABLE.write_text(f"{_HEAD}FITS = {{\n{parts}}}\n")
    print(f"{TABLE}: {TABLE.stat().st_size / 1000:.0f} kB")
    return 0


def _fit(count: int, keep: Path | None) -> Surrogate:
    kept = keep / f"limits_{count}.npz" if keep else None
    limits = _kept(kept)
    features = []
    wanted = []
    designs, seed = DESIGNS[count], SEEDS[count]
    for number in range(designs):
        foot = random_foot(np.random.default_rng((seed, number)), pair=count == 2)
        if str(number) not in limits:
            limits[str(number)] = simulated_limits(foot, PATHS[count], seed * 100_000 + number)
        here = limits[str(number)]
        judged = np.isfinite(here)
        features.append(look_features(foot.pair, foot.looks)[judged])
        wanted.append(here[judged])
        if number % 50 == 49:
            print(f"{count}: {number + 1} of {designs}", file=sys.stderr, flush=True)
            if kept:
                np.savez(kept, allow_pickle=False, **limits)
    rows, targets = np.vstack(features), np.concatenate(wanted)
    fit = fit_surrogate(rows, targets, RIDGE)
    missed = float(np.sqrt(np.mean(np.square(fit.limits(rows) - targets))) / targets.mean())
    print(f"{count}: {len(rows)} looks, RMS {100 * missed:.2f} % with the simulation's own noise")
    return fit


def _kept(path: Path | None) -> dict[str, np.ndarray]:
    return dict(np.load(path)) if path and path.exists() else {}


def simulated_limits(foot: FootSeries, paths: int, seed: int) -> np.ndarray:
    """The reference: the limits of a foot from so many paths."""
    statistics = simulate_statistics(foot.pair, foot.looks, paths, seed)
    return limits_from_paths(statistics, foot.looks.share, VISITS_PER_FALSE_ALARM)


def _written(fit: Surrogate) -> str:
    """The numbers of a fit as text, wrapped, so that a difference can be read."""
    parts = []
    for name, value in vars(fit).items():
        numbers = " ".join(f"{number:.{_DIGITS}g}" for number in np.ravel(value))
        lines = "\n".join(textwrap.wrap(numbers, _WIDTH, break_on_hyphens=False))
        parts.append(f'        "{name}": """\n{lines}\n""",\n')
    return "".join(parts)


if __name__ == "__main__":
    raise SystemExit(main())
