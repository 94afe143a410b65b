"""Numbers drawn once and used for every picture, so that a picture always says the same.

Half of them are drawn and the other half are their opposites: what is linear in them leaves no
trace in a mean.
"""

from functools import lru_cache

import numpy as np

from measurements.hoof.pictures.measured import Floats

DRAWS = (
    4_000  # some fit little and count little: the SD of a value is then known to 2 or 3 % of itself
)
_SEED = 18


@lru_cache(maxsize=16)
def normal_draws(columns: int, kind: str) -> Floats:
    """Standard normal numbers, shape (DRAWS, columns); `kind` keeps uses apart."""
    rng = np.random.default_rng([_SEED, *kind.encode()])
    half = rng.standard_normal((DRAWS // 2, columns))
    draws = np.concatenate([half, -half])
    draws /= draws.std(axis=0)
    draws.setflags(write=False)
    return draws


@lru_cache(maxsize=16)
def even_draws(columns: int, kind: str) -> Floats:
    """Numbers spread evenly over -1 to 1, shape (DRAWS, columns), each column on its own."""
    rng = np.random.default_rng([_SEED, *kind.encode()])
    steps = (np.arange(DRAWS // 2) + rng.random((columns, DRAWS // 2))) / (DRAWS // 2)
    half = rng.permuted(steps, axis=1).T * 2 - 1
    draws = np.concatenate([half, -half])
    draws.setflags(write=False)
    return draws
