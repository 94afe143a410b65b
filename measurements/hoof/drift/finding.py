"""What is found on one quantity: rate, change, level and the standing of each reading."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from measurements.hoof.drift.arrays import Floats, Ints
from measurements.hoof.drift.forecast import Outlook
from measurements.hoof.drift.posterior import Draws, Shape, chance_of_change, draw, without_change
from measurements.hoof.drift.priors import ASK_AGAIN_FROM_SD
from measurements.hoof.drift.replay import Fit
from measurements.hoof.drift.unseen import not_ruled_out, unseen_drift

OnsetWeights = Mapping[Shape, Floats]


@dataclass(frozen=True)
class Estimate:
    """A middle value with its 95 % interval, base unit."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class ReadingStanding:
    """How one reading counts. `index`: its place in the sequence handed in. `weight`: 1 counts in
    full, towards 0 hardly. `surprise_sd`: by how many SDs it misses what the others say."""

    index: int
    weight: float
    surprise_sd: float

    @property
    def is_doubtful(self) -> bool:
        """Whether a second measurement should be asked for."""
        return self.surprise_sd > ASK_AGAIN_FROM_SD


@dataclass(frozen=True)
class LevelAt:
    """Where the level stood at one measured trim, as far as is known now; days as the readings'."""

    at_days: float
    level: Estimate


@dataclass(frozen=True)
class QuantityFinding:
    """One quantity of a foot; base unit, signed (negative falls).

    `rate_per_visit`: the drift per trim, if there is one; `change`: what the change has come to
    (a drift since its onset, or the step); both `None` before a second trim. `level`: just after
    the last trim, as the person and method of most readings read it; while no alarm stands its
    interval holds a drift that was not found too. `growth_per_56_days`: inside a cycle. `readings`: the standing of each reading judged on. `path`: the level at each measured
    trim since the shoeing last changed, the change in it if an alarm stands. `outlook`: draws for
    forecasts.
    """

    quantity: str
    rate_per_visit: Estimate | None
    change: Estimate | None
    level: Estimate
    growth_per_56_days: Estimate
    readings: tuple[ReadingStanding, ...]
    path: tuple[LevelAt, ...]
    outlook: Outlook = field(compare=False, repr=False)

    @property
    def doubtful(self) -> tuple[ReadingStanding, ...]:
        """The readings that should be measured again."""
        return tuple(reading for reading in self.readings if reading.is_doubtful)


def describe(
    key: str,
    fit: Fit,
    onset_weights: OnsetWeights | None,
    shape: Shape,
    last_trim: int,
    changed: bool,
    trim_days: Mapping[int, float],
) -> QuantityFinding:
    """The finding on one quantity; `changed`: an alarm stands, so the change is taken as real.

    `trim_days`: the day of each known trim.
    """
    drift = change = None
    outlook = _unchanged(fit)
    if onset_weights is not None:
        drift = draw(fit, onset_weights[Shape.DRIFT], Shape.DRIFT, last_trim)
        step = shape is Shape.STEP
        change = draw(fit, onset_weights[shape], shape, last_trim) if step else drift
        outlook = _outlook(fit, change, shape, changed, outlook)
    hidden = None if changed else unseen_drift(fit, last_trim)
    return QuantityFinding(
        quantity=key,
        rate_per_visit=None if drift is None else estimate(drift.size),
        change=None if change is None else estimate(change.change),
        level=_level(outlook.level, None if hidden is None else hidden.level),
        growth_per_56_days=estimate(outlook.growth),
        readings=_standings(fit),
        path=_path(fit, change if changed else None, hidden, shape, outlook, trim_days),
        outlook=outlook,
    )


def _level(draws: Floats, hidden: Floats | None) -> Estimate:
    """The level, its interval as wide as a drift that was not found makes it."""
    return _levels(draws[None], None if hidden is None else hidden[None])[0]


def _levels(draws: Floats, hidden: Floats | None) -> list[Estimate]:
    """The same of several levels at once, one a row of draws."""
    low, middle, high = np.quantile(draws, (0.025, 0.5, 0.975), axis=1)
    if hidden is not None:
        low, high = not_ruled_out(low, high, hidden)
    return [
        Estimate(*(float(number) for number in row)) for row in zip(middle, low, high, strict=True)
    ]


def estimate(draws: Floats) -> Estimate:
    """The median and the central 95 % of draws."""
    return _level(draws, None)


def _unchanged(fit: Fit) -> Outlook:
    level, growth = without_change(fit)
    return Outlook(level, np.zeros_like(level), growth)


def _outlook(fit: Fit, change: Draws, shape: Shape, changed: bool, unchanged: Outlook) -> Outlook:
    """Draws that go on drifting if a drift was found; a step is over; else mostly unchanged."""
    rate = change.size if shape is Shape.DRIFT else np.zeros_like(change.size)
    moving = Outlook(change.level, rate, change.growth)
    if changed:
        return moving
    half = len(rate) // 2
    steps = np.floor(np.arange(half + 1) * chance_of_change([fit], shape))
    moves = np.tile(np.diff(steps) > 0, 2)  # evenly spread, mirrored pairs kept together
    return Outlook(
        np.where(moves, moving.level, unchanged.level),
        np.where(moves, moving.rate, unchanged.rate),
        np.where(moves, moving.growth, unchanged.growth),
    )


def _path(
    fit: Fit,
    change: Draws | None,
    hidden: Draws | None,
    shape: Shape,
    outlook: Outlook,
    trim_days: Mapping[int, float],
) -> tuple[LevelAt, ...]:
    """The level trim by trim; a flat one without a change. What was planned moves it as planned."""
    arrays = fit.part.arrays
    now = np.flatnonzero(arrays.level_id == arrays.level_id[-1])
    trims, first = np.unique(arrays.trim[now], return_index=True)
    short_of_plan = arrays.planned[now][first] - arrays.planned[-1]
    if change is None:
        levels = outlook.level + short_of_plan[:, None]
    else:
        levels = _levels_then(change, trims, shape) + short_of_plan[:, None]
    other = None if hidden is None else _levels_then(hidden, trims, Shape.DRIFT)
    other = None if other is None else other + short_of_plan[:, None]
    return tuple(
        LevelAt(trim_days[int(trim)], level)
        for trim, level in zip(trims, _levels(levels, other), strict=True)
    )


def _levels_then(change: Draws, trims: Ints, shape: Shape) -> Floats:
    """Draws of the level at earlier trims [trim, draw]."""
    since = np.maximum(0, trims[:, None] - change.onset)
    moved = change.size * (since if shape is Shape.DRIFT else since > 0)
    levels: Floats = change.level - change.change + moved
    return levels


def _standings(fit: Fit) -> tuple[ReadingStanding, ...]:
    rows = zip(fit.part.arrays.order, fit.weights.weight, fit.weights.surprise, strict=True)
    standings = [ReadingStanding(int(i), float(w), float(t)) for i, w, t in rows]
    return tuple(sorted(standings, key=lambda standing: standing.index))
