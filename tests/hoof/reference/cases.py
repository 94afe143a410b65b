"""The feet of the golden verdicts: what is true of each, and readings drawn from a seed.

Values are rounded to a tenth, as people write them; days are whole.
"""

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace

from measurements.hoof.quantities import Method, Shoeing, TrimState
from measurements.hoof.series import SeriesReading
from tests.hoof.reference.rows import Pair, Plan

FARRIER = (Method.GAUGE, "farrier")
SECOND = (Method.GAUGE, "second")
OWNER = (Method.OWNER, "owner")
PHOTO = (Method.PHOTO, "farrier")
CARD = (Method.PHOTO_CARD, "farrier")

TRIM_SD, LEVELS = 0.5, {"toe_angle": 52.0, "heel_angle": 47.0, "toe_length": 88.0}
GROWTH = {
    "toe_angle": {Shoeing.SHOD: -3.0, Shoeing.SHOD_WEDGE: -3.2, Shoeing.BAREFOOT: 0.6},
    "heel_angle": {Shoeing.SHOD: -2.6, Shoeing.SHOD_WEDGE: -3.0, Shoeing.BAREFOOT: 0.4},
    "toe_length": {Shoeing.SHOD: 13.0, Shoeing.SHOD_WEDGE: 13.0, Shoeing.BAREFOOT: 6.0},
}


@dataclass(frozen=True)
class Moves:
    """What is true of one quantity: `rate` a trim and `step` once, after the trim `onset`."""

    rate: float = 0.0
    step: float = 0.0
    onset: int = 5
    key: str = "toe_angle"
    level: float | None = None
    sd: float = 1.0
    read_from: int = 0  # the visit at which it is first measured


STILL = Moves()


@dataclass(frozen=True)
class Case:
    """One foot. `hands`: from a visit on, who measures how. `beside`: visits at which another hand
    measures too. `shoes`: from a visit on. `missed`: visits without a reading. `wild`: readings by
    place in the first quantity, with their slip. `band`: for the forecast of the first quantity."""

    name: str
    moves: tuple[Moves, ...] = (STILL,)
    seed: int = 1
    visits: int = 12
    interval: int = 49
    jitter: int = 5
    after: bool = True
    before: bool = True
    missed: tuple[int, ...] = ()
    lost: float = 0.0  # share of single readings that are lost
    hands: tuple[tuple[int, tuple[Method, str]], ...] = ((0, FARRIER),)
    offset: float = 0.0  # of every hand but the first
    beside: tuple[tuple[int, tuple[Method, str]], ...] = ()
    new_measures_first: bool = False
    shoes: tuple[tuple[int, Shoeing], ...] = ((0, Shoeing.SHOD),)
    between: tuple[int, ...] = ()  # visits after which the owner reads once
    wild: tuple[tuple[int, float], ...] = ()
    plan: tuple[int, float, int] | None = None  # from before this visit, rate, visits
    kept: float = 1.0  # share of the plan that is really made
    plan_shift_days: float = 0.0
    settled: int | None = None  # the visit before which the past was answered
    pairs: tuple[tuple[int, float], ...] = ()  # on other feet: after this visit, second minus first
    band: tuple[float, float] = (47.0, 57.0)
    first_trim: int = 0
    differing: bool = False  # the errors of pictures with the card differ from one to the next

    @property
    def trim_days(self) -> list[int]:
        """The day of each visit."""
        dice, days = random.Random(1000 + self.seed), [0]
        for _ in range(self.visits - 1):
            days.append(days[-1] + self.interval + dice.randint(-self.jitter, self.jitter))
        return days

    def readings(self) -> dict[str, list[SeriesReading]]:
        """The readings by quantity."""
        return {moves.key: self._readings(moves, place) for place, moves in enumerate(self.moves)}

    def plans(self) -> dict[str, list[Plan]]:
        """The agreed change of the first quantity (of a heel beside it the same)."""
        if self.plan is None:
            return {}
        visit, rate, visits = self.plan
        begins = self.trim_days[visit] - self.interval / 2 + self.plan_shift_days
        return {moves.key: [Plan(begins, rate, visits)] for moves in self.moves}

    def hand_pairs(self) -> dict[str, list[Pair]]:
        """What the first two hands read beside each other on other feet."""
        first, second = self.hands[0][1], self.hands[-1][1]
        feet = ("RF", "LH", "RH")
        return {
            self.moves[0].key: [
                Pair(self.trim_days[visit] + 1.0, feet[n % 3], second, first, difference, 2**0.5)
                for n, (visit, difference) in enumerate(self.pairs)
            ]
        }

    @property
    def settled_days(self) -> float | None:
        """The day from which on a new baseline counts."""
        return None if self.settled is None else self.trim_days[self.settled] - 1.0

    def _readings(self, moves: Moves, place: int) -> list[SeriesReading]:
        dice = random.Random(100 * self.seed + place)
        days = self.trim_days
        left = {trim: dice.gauss(0.0, TRIM_SD) for trim in range(-1, self.visits)}
        rows: list[SeriesReading] = []
        for visit, day in enumerate(days):
            last = day - days[visit - 1] if visit else self.interval
            moments = [(visit - 1, float(last), TrimState.BEFORE)] * self.before
            moments += [(visit, 0.0, TrimState.AFTER)] * self.after
            for trim, since, state in moments:
                for hand in self._measuring(visit, state):
                    rows.append(self._reading(moves, (day, trim, since, state), hand, left, dice))
            if visit in self.between and place == 0:
                moment = (day + 20, visit, 20.0, TrimState.BETWEEN)
                rows.append(self._reading(moves, moment, OWNER, left, dice))
        kept = [row for row in rows if dice.random() >= self.lost]
        for at, slip in self.wild if place == 0 else ():
            kept[at] = replace(kept[at], value=round(kept[at].value + slip, 1))
        return [row for row in kept if self._is_read(row, moves, days)]

    def _is_read(self, row: SeriesReading, moves: Moves, days: Sequence[int]) -> bool:
        visit = max(v for v, day in enumerate(days) if day <= row.at_days)
        return visit not in self.missed and visit >= moves.read_from

    def _measuring(self, visit: int, state: TrimState) -> list[tuple[Method, str]]:
        began = [(v, hand) for v, hand in self.hands if v <= visit]
        latest, hand = began[-1]
        if len(began) > 1 and latest == visit and state is TrimState.BEFORE:
            hand = hand if self.new_measures_first else began[-2][1]
        extra = [other for v, other in self.beside if v == visit and state is TrimState.AFTER]
        return [hand, *extra]

    def _reading(
        self,
        moves: Moves,
        moment: tuple[int, int, float, TrimState],
        hand: tuple[Method, str],
        left: dict[int, float],
        dice: random.Random,
    ) -> SeriesReading:
        day, trim, since, state = moment
        shoes = [s for visit, s in self.shoes if visit <= max(trim, 0)][-1]
        true = (LEVELS[moves.key] if moves.level is None else moves.level) + left[trim]
        true += moves.rate * max(0, trim - moves.onset) + moves.step * (trim > moves.onset)
        true += GROWTH[moves.key][shoes] * since / 56.0
        if self.plan is not None:
            visit, rate, visits = self.plan
            true += self.kept * rate * min(max(0, trim - visit + 1), visits)
        true += 0.0 if hand == self.hands[0][1] else self.offset
        sd = moves.sd * (1.5 if hand[0] in (Method.OWNER, Method.PHOTO) else 1.0)
        if self.differing and hand == CARD:
            sd = round(sd * dice.choice((0.5, 0.65, 0.9, 1.5)), 3)
        return SeriesReading(
            at_days=float(day),
            value=round(true + dice.gauss(0.0, 0.8 * sd), 1),
            sd=sd,
            trim_index=trim + self.first_trim,
            days_since_trim=since,
            trim_state=state,
            shoeing=shoes,
            method=hand[0],
            by=hand[1],
        )


def drifts(rate: float, onset: int = 5, **more: float) -> tuple[Moves, ...]:
    """A toe that drifts."""
    return (Moves(rate=rate, onset=onset, **more),)  # type: ignore[arg-type]


def steps(step: float, onset: int = 5, **more: float) -> tuple[Moves, ...]:
    """A toe that changes once."""
    return (Moves(step=step, onset=onset, **more),)  # type: ignore[arg-type]


def pair(toe: Moves, **heel: float) -> tuple[Moves, Moves]:
    """A toe and a heel."""
    return toe, Moves(key="heel_angle", **heel)  # type: ignore[arg-type]


WEDGED = ((0, Shoeing.SHOD), (6, Shoeing.SHOD_WEDGE))
CHANGED = ((0, FARRIER), (8, SECOND))

CASES = (
    # Steady.
    Case("steady"),
    Case("steady, other readings", seed=2),
    Case("steady, long record", seed=3, visits=34),
    Case("steady, careful readings", (Moves(sd=0.6),), seed=4),
    Case("steady, careless readings", (Moves(sd=1.8),), seed=5),
    Case("steady, barefoot", seed=6, shoes=((0, Shoeing.BAREFOOT),)),
    Case("steady, near its edge", (Moves(level=48.2),), seed=7),
    Case("steady, trims numbered from 40", seed=8, first_trim=40),
    Case("steady, owner reads between visits", seed=9, between=(2, 4, 5, 7, 8, 9)),
    Case("steady heel alone", (Moves(key="heel_angle"),), seed=10, band=(42.0, 52.0)),
    Case("steady pair", pair(STILL), seed=11),
    Case("steady toe length", (Moves(key="toe_length", sd=2.0),), seed=12, band=(78.0, 98.0)),
    # Few readings.
    Case("one visit", visits=1, seed=13),
    Case("two visits", drifts(-2.0, 0), visits=2, seed=14),
    Case("three visits", visits=3, seed=15),
    Case("four visits of a falling foot", drifts(-1.5, 0), visits=4, seed=16),
    Case("only after the trim", drifts(-0.7), seed=17, before=False),
    Case("only before the trim", drifts(-0.7), seed=18, visits=14, after=False),
    Case("only before the trim, steady", seed=19, after=False),
    # Drifts.
    Case("slow drift", drifts(-0.35), seed=20, visits=16),
    Case("drift", drifts(-0.6), seed=21, visits=14),
    Case("fast drift", drifts(-1.2), seed=22),
    Case("rising drift", drifts(0.7), seed=23, visits=14),
    Case("drift from the start", drifts(-0.6, 0), seed=24),
    Case("drift of long ago", drifts(-0.5, 3), seed=25, visits=30, band=(37.0, 57.0)),
    Case("drift just begun", drifts(-0.8, 9), seed=26, visits=13),
    Case("drift out of its band", drifts(-0.9, 3), seed=27, visits=14, band=(50.0, 56.0)),
    Case("drift of a barefoot foot", drifts(-0.7), seed=28, shoes=((0, Shoeing.BAREFOOT),)),
    Case("drift, owner reads between visits", drifts(-0.7), seed=29, between=(6, 7, 8, 9, 10)),
    Case(
        "drift of the heel alone", (Moves(key="heel_angle", rate=-0.8),), seed=30, band=(40.0, 52.0)
    ),
    Case(
        "drift of a toe length",
        (Moves(key="toe_length", rate=2.5, sd=2.0),),
        seed=31,
        band=(75.0, 99.0),
    ),
    # Pairs.
    Case("pair, both drift", pair(Moves(rate=-0.5), rate=-0.5), seed=32, visits=13),
    Case("pair, only the heel drifts", pair(STILL, rate=-1.1), seed=33, visits=14),
    Case("pair, only the toe drifts", pair(Moves(rate=-0.9)), seed=34, visits=14),
    Case("pair, both step", pair(Moves(step=-3.5), step=-3.0), seed=35),
    Case(
        "pair, heel measured late",
        pair(Moves(rate=-0.6), rate=-0.6, read_from=6),
        seed=36,
        visits=14,
    ),
    Case("pair, they part", pair(Moves(rate=0.6), rate=-0.6), seed=37, visits=13),
    # Steps.
    Case("step down", steps(-4.0), seed=38),
    Case("step up", steps(3.5), seed=39),
    Case("small step", steps(-2.0), seed=40, visits=16),
    Case("fresh step", steps(-4.0, 9), seed=41),
    Case("old step that has ended", steps(-3.0, 4), seed=42, visits=32),
    # Visits.
    Case("missed trims", drifts(-0.7), seed=43, visits=16, missed=(4, 8, 9, 10)),
    Case("missed trims while drifting", drifts(-0.8), seed=44, visits=15, missed=(6, 7, 11)),
    Case("long intervals", drifts(-0.7), seed=45, interval=91, jitter=14),
    Case("intervals over 130 days", drifts(-1.0, 4), seed=46, interval=140, jitter=8),
    Case("uneven intervals", drifts(-0.7), seed=47, visits=14, jitter=21),
    Case("a third of the readings lost", drifts(-0.7), seed=48, visits=15, lost=0.33),
    # Outliers.
    Case("one wild reading", seed=49, wild=((13, 11.0),)),
    Case("wild newest reading", seed=50, wild=((23, -8.0),)),
    Case(
        "two wild readings in a drift",
        drifts(-0.8),
        seed=51,
        visits=14,
        wild=((5, 7.0), (19, -9.0)),
    ),
    # Hands.
    Case("new hand reads lower", seed=52, hands=CHANGED, offset=-1.5, visits=14),
    Case(
        "new hand, the foot falls",
        steps(-3.5, 7),
        seed=53,
        hands=CHANGED,
        visits=14,
        new_measures_first=True,
    ),
    Case(
        "hands compared on this foot",
        steps(-3.0, 7),
        seed=54,
        hands=CHANGED,
        visits=15,
        beside=tuple((visit, SECOND) for visit in (2, 3, 4, 5, 6)),
    ),
    Case(
        "hands compared on other feet late",
        steps(-3.0, 7),
        seed=55,
        hands=CHANGED,
        visits=15,
        pairs=((10, 0.2), (10, -0.4), (11, 0.1), (11, 0.5), (12, 0.0), (12, 6.0)),
    ),
    Case(
        "by photo from a visit on",
        drifts(-0.6),
        seed=56,
        visits=14,
        hands=((0, FARRIER), (4, PHOTO)),
        offset=1.0,
    ),
    Case(
        "a stand-in comes once and the lead is back",
        seed=57,
        hands=((0, FARRIER), (5, SECOND), (6, FARRIER)),
        offset=1.2,
        visits=14,
    ),
    # Shoes, plans, answers.
    Case("wedge from a visit on", steps(5.0), seed=58, shoes=WEDGED, visits=14, band=(52.0, 62.0)),
    Case("wedge, then a drift", drifts(-0.9, 8), seed=59, shoes=WEDGED, visits=17),
    Case("planned and made", seed=60, plan=(6, 0.8, 4), visits=14, band=(50.0, 60.0)),
    Case(
        "planned, half made, then it falls",
        drifts(-0.8, 8),
        seed=61,
        plan=(5, 0.6, 4),
        kept=0.5,
        visits=15,
    ),
    Case("planned up and goes down", drifts(-0.7), seed=62, plan=(6, 0.8, 6), kept=0.0, visits=14),
    Case(
        "planned, heel measured while it runs",
        pair(STILL, read_from=7),
        seed=65,
        plan=(5, 0.9, 5),
        visits=15,
        before=False,
        band=(50.0, 60.0),
    ),
    Case("settled after a step", steps(-4.0), seed=63, settled=8, visits=14),
    Case("settled and drifts on", drifts(-1.0), seed=64, settled=9, visits=18),
    # Pictures, each with its own error.
    Case("steady by pictures", seed=66, hands=((0, CARD),), differing=True, visits=14),
    Case(
        "drifts by pictures", drifts(-0.5), seed=67, hands=((0, CARD),), differing=True, visits=16
    ),
    Case(
        "toe and heel by pictures",
        pair(Moves(rate=-0.6), rate=-0.6, sd=1.4),
        seed=68,
        hands=((0, CARD),),
        differing=True,
        visits=15,
    ),
    Case(
        "by gauge, then by pictures",
        drifts(-0.5, 6),
        seed=72,
        hands=((0, FARRIER), (5, CARD)),
        differing=True,
        offset=0.8,
        visits=16,
    ),
    Case(
        "a slip among pictures",
        seed=70,
        hands=((0, CARD),),
        differing=True,
        wild=((13, 4.0),),
        visits=14,
    ),
)
