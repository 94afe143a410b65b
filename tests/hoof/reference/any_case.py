"""A foot drawn by chance, with anything that may happen to one: for what nobody thought of."""

import random

from measurements.hoof.quantities import Shoeing
from tests.hoof.reference.cases import FARRIER, OWNER, PHOTO, SECOND, Case, Moves

HANDS = (FARRIER, SECOND, PHOTO, OWNER)


def any_case(seed: int) -> Case:
    """The foot of a seed."""
    dice = random.Random(seed)
    visits = dice.randint(2, 15)
    key = dice.choice(["toe_angle", "heel_angle"])
    moves = [_moves(dice, key, visits)]
    if key == "toe_angle" and dice.random() < 0.4:
        moves.append(_moves(dice, "heel_angle", visits))
    hands = [(0, FARRIER)]
    while dice.random() < 0.4:
        hands.append((hands[-1][0] + dice.randint(1, 6), dice.choice(HANDS)))
    return Case(
        f"any {seed}",
        tuple(moves),
        seed=seed,
        visits=visits,
        interval=dice.choice([35, 49, 49, 63, 91]),
        jitter=dice.randint(0, 10),
        after=True,
        before=dice.random() < 0.8,
        missed=tuple(v for v in range(1, visits) if dice.random() < 0.08),
        lost=dice.choice([0.0, 0.15]),
        hands=tuple(hands),
        offset=dice.gauss(0.0, 1.0),
        beside=tuple((v, dice.choice(HANDS)) for v in range(visits) if dice.random() < 0.2),
        new_measures_first=dice.random() < 0.5,
        shoes=((0, dice.choice(list(Shoeing))), (dice.randint(3, 30), dice.choice(list(Shoeing)))),
        between=tuple(v for v in range(visits) if dice.random() < 0.15),
        plan=(dice.randint(0, visits - 1), dice.choice([0.6, -1.0]), dice.randint(1, 6))
        if dice.random() < 0.3
        else None,
        kept=dice.choice([0.0, 0.5, 1.0]),
        plan_shift_days=dice.uniform(-40.0, 40.0),
        settled=dice.randint(1, visits - 1) if dice.random() < 0.25 else None,
        pairs=tuple(
            (dice.randint(0, visits - 1), dice.gauss(0.0, 1.5)) for _ in range(dice.randint(1, 7))
        )
        if dice.random() < 0.3
        else (),
        first_trim=dice.choice([0, 12]),
    )


def _moves(dice: random.Random, key: str, visits: int) -> Moves:
    """Quiet, drifting or changed once; the second quantity perhaps measured late."""
    return Moves(
        key=key,
        rate=dice.choice([0.0, 0.0, -0.6, 0.9]),
        step=dice.choice([0.0, 0.0, -3.0]),
        onset=dice.randint(0, visits),
        sd=dice.choice([0.6, 1.0, 1.5]),
        read_from=dice.choice([0, visits // 2]) if key == "heel_angle" else 0,
    )
