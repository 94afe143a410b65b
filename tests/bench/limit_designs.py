"""Feet without values, drawn by chance over all that a yard may do: what the surrogate for the
alarm limits is trained on and held to.

Each design is a foot's dates, hands, errors, shoes and plans. They are wider than what is usual, so
that a foot of a real yard lies inside of what was trained.
"""

from dataclasses import replace

import numpy as np

from measurements.hoof.drift.arrays import PlannedChange
from measurements.hoof.drift.foot import FootSeries, prepare
from measurements.hoof.drift.offsets import HandPair
from measurements.hoof.quantities import Method, Shoeing, TrimState
from measurements.hoof.series import SeriesReading

TOE, HEEL = "toe_angle", "heel_angle"
# Of a reading's error, deg: a little wider than the 0.5 to 2.5 that are to be known, as below.
SD_RANGE = (0.45, 2.75)
TRIM_SCALE_RANGE = (0.45, 2.4)  # times the table's trim SD
INTERVAL_RANGE_DAYS = (21.0, 77.0)
VISITS_RANGE = (3, 44)  # on from 40 trims a record is judged on windows that no longer change
AN_HOUR = 0.04
FARRIER, NEXT_FARRIER, OWNER, VET = "farrier", "next", "owner", "vet"


def random_foot(rng: np.random.Generator, *, pair: bool) -> FootSeries:
    """A foot with one angle judged on its own, or with toe and heel together."""
    while True:
        rows = _Course(rng).rows()
        readings = dict.fromkeys((TOE, HEEL) if pair else (_one_angle(rng),), rows)
        if pair:
            readings[HEEL] = _heel_rows(rng, rows)
        days = [row.at_days for row in rows]
        plans = _plans(rng, days, list(readings))
        settled = float(rng.choice(days)) if rng.random() < 0.12 else None
        pairs = _pairs(rng, days, list(readings)) if rng.random() < 0.12 else None
        foot = prepare(readings, plans, settled, pairs)
        if (foot.looks.share > 0).any():
            return _with_trims(rng, foot)


def _with_trims(rng: np.random.Generator, foot: FootSeries) -> FootSeries:
    """The foot under a trimmer who varies as the table says, or as a yard has taught."""
    scale = float(np.exp(rng.uniform(*np.log(TRIM_SCALE_RANGE)))) if rng.random() < 0.6 else 1.0
    pair = tuple(
        replace(judged, prior=replace(judged.prior, trim_sd=scale * judged.prior.trim_sd))
        for judged in foot.pair
    )
    return replace(foot, pair=pair)


def _one_angle(rng: np.random.Generator) -> str:
    return TOE if rng.random() < 0.6 else HEEL


def _error_sd(rng: np.random.Generator) -> float:
    return float(np.exp(rng.uniform(*np.log(SD_RANGE))))


class _Course:
    """The visits of a foot, and who measures what at them."""

    def __init__(self, rng: np.random.Generator) -> None:
        self.rng = rng
        self.visits = int(rng.integers(VISITS_RANGE[0], VISITS_RANGE[1] + 1))
        self.interval = rng.uniform(*INTERVAL_RANGE_DAYS)
        self.days = self._days()
        # Before and after, or mostly one of them.
        kind = rng.random()
        missing = rng.uniform(0.0, 0.3, 2)
        self.missing = (1.0, 0.0) if kind < 0.12 else (0.0, 1.0) if kind < 0.24 else missing
        people = (FARRIER, NEXT_FARRIER, OWNER, VET)
        self.sd = {who: _error_sd(rng) for who in people}
        if rng.random() < 0.5:  # all measure alike
            self.sd = dict.fromkeys(people, self.sd[FARRIER])
        self.between = rng.choice(["none", "some", "three weeks"], p=[0.45, 0.25, 0.3])
        self.changes = self._change_of_hands()
        self.shoes = self._shoes()
        self.stands_in = rng.uniform(0.0, 0.1) if rng.random() < 0.2 else 0.0
        self.vet_share = rng.uniform(0.05, 0.5) if rng.random() < 0.2 else 0.0

    def _days(self) -> np.ndarray:
        spread = self.rng.uniform(1.0, 10.0)
        gaps = np.maximum(14.0, self.rng.normal(self.interval, spread, self.visits))
        gaps *= np.where(self.rng.random(self.visits) < 0.05, 2.0, 1.0)
        return np.cumsum(gaps)

    def _change_of_hands(self) -> tuple[int, int]:
        """From which visit on the next farrier measures, and since when beside the old one."""
        if self.visits < 5 or self.rng.random() >= 0.4:
            return self.visits, self.visits
        at = int(self.rng.integers(3, self.visits))
        return at, max(0, at - int(self.rng.choice([0, 0, 0, 1, 3, 5, 8])))

    def _shoes(self) -> list[Shoeing]:
        states = list(Shoeing)
        first = states[int(self.rng.choice(3, p=[0.3, 0.55, 0.15]))]
        worn = [first] * self.visits
        for _ in range(int(self.rng.choice(3, p=[0.7, 0.2, 0.1]))):
            at = int(self.rng.integers(1, self.visits))
            worn[at:] = [states[int(self.rng.integers(3))]] * (self.visits - at)
        return worn

    def rows(self) -> list[SeriesReading]:
        found: list[SeriesReading] = []
        for visit, day in enumerate(self.days):
            gap = float(day - self.days[visit - 1]) if visit else 0.0
            if visit:
                found += self._between(visit, float(day) - gap, gap)
            found += self._visit(visit, float(day), gap)
        return found

    def _visit(self, visit: int, day: float, gap: float) -> list[SeriesReading]:
        before, after = self.rng.random(2) >= self.missing
        changed, began = self.changes
        measures_before = self.rng.random() < 0.5
        new = visit > changed or (visit == changed and measures_before)
        found = []
        if visit and before:
            by = NEXT_FARRIER if new else FARRIER
            found.append(self._row(day, visit, gap, TrimState.BEFORE, self._stand_in(by)))
        if after or not found:
            by = self._stand_in(NEXT_FARRIER if visit >= changed else FARRIER)
            found.append(self._row(day, visit, gap, TrimState.AFTER, by))
            if began <= visit < changed:
                found.append(self._row(day, visit, gap, TrimState.AFTER, NEXT_FARRIER))
            if self.rng.random() < self.vet_share:
                found.append(self._row(day, visit, gap, TrimState.AFTER, VET))
        return found

    def _stand_in(self, by: str) -> str:
        return VET if self.rng.random() < self.stands_in else by

    def _between(self, visit: int, day: float, gap: float) -> list[SeriesReading]:
        if self.between == "none" or (self.between == "some" and self.rng.random() > 0.3):
            return []
        if self.between == "some":
            since = [self.rng.uniform(5.0, gap - 5.0)]
        else:
            since = list(np.arange(21.0, min(gap - 4.0, 63.0 + 1.0), 21.0))
        return [self._row(day, visit, s, TrimState.BETWEEN, OWNER) for s in since]

    def _row(
        self, day: float, visit: int, since: float, state: TrimState, by: str
    ) -> SeriesReading:
        """A reading of a visit; `since`: days since the trim that it stands on, unless after one."""
        after = state is TrimState.AFTER
        days = {TrimState.BETWEEN: since, TrimState.BEFORE: 0.0, TrimState.AFTER: AN_HOUR}[state]
        trim = visit if after else visit - 1
        return SeriesReading(
            at_days=day + days,
            value=0.0,
            sd=self.sd[by],
            trim_index=trim,
            days_since_trim=0.0 if after else since,
            trim_state=state,
            shoeing=self.shoes[max(0, trim)],
            method=Method.OWNER if by == OWNER else Method.GAUGE,
            by=by,
        )


def _heel_rows(rng: np.random.Generator, rows: list[SeriesReading]) -> list[SeriesReading]:
    """The heel beside the toe: mostly everywhere, else less often or only from some day on."""
    other = _error_sd(rng) / float(np.mean([row.sd for row in rows]))
    scale = 1.0 if rng.random() < 0.5 else other
    kept = 1.0 if rng.random() < 0.6 else rng.uniform(0.4, 1.0)
    since = float(rng.choice([row.at_days for row in rows])) if rng.random() < 0.2 else -np.inf
    chosen = [row for row in rows if row.at_days >= since and rng.random() < kept] or rows[-1:]
    low, high = SD_RANGE
    return [replace(row, sd=float(np.clip(scale * row.sd, low, high))) for row in chosen]


def _plans(
    rng: np.random.Generator, days: list[float], keys: list[str]
) -> dict[str, list[PlannedChange]]:
    if rng.random() >= 0.25:
        return {}
    plan = PlannedChange(
        from_days=float(rng.choice(days)) - 1.0,
        rate_per_visit=float(rng.uniform(0.2, 1.5) * rng.choice([-1, 1])),
        visits=int(rng.integers(1, 9)),
    )
    return {key: [plan] for key in keys}


def _pairs(
    rng: np.random.Generator, days: list[float], keys: list[str]
) -> dict[str, list[HandPair]]:
    """What the two farriers have read beside each other on the horse's other feet."""
    hands = [f"{Method.GAUGE.value}\0{by}" for by in (FARRIER, NEXT_FARRIER)]
    count = int(rng.integers(1, 9))
    return {
        key: [
            HandPair(
                at_days=float(rng.choice(days)),
                foot=str(rng.choice(["second", "third", "fourth"])),
                first=hands[0],
                second=hands[1],
                difference=0.0,
                sd=float(rng.uniform(0.7, 3.0)),
            )
            for _ in range(count)
        ]
        for key in keys
    }
