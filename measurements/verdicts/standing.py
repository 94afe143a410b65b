"""Where each foot stands by its verdict, read for all four with one query: for the first screen."""

from dataclasses import dataclass
from typing import ClassVar

from measurements.hoof.drift.verdict import DriftState
from measurements.hoof.feet import Foot
from measurements.queries.numbers import Numbers
from measurements.verdicts.judge import foot_question


@dataclass(frozen=True)
class Standing:
    """The state of a foot whose numbers as they stand were judged; `OLD` while they were not,
    `NONE` where there is nothing to judge."""

    state: DriftState | None

    OLD: ClassVar["Standing"]
    NONE: ClassVar["Standing"]


Standing.OLD = Standing(None)
Standing.NONE = Standing(None)


def standings_of(numbers: Numbers) -> dict[str, Standing]:
    """The feet that have numbers to judge."""
    asked = {foot.value: foot_question(numbers, foot.value) for foot in Foot}
    keys = {foot: question.key for foot, question in asked.items() if question.readings}
    if not keys:
        return {}
    judged = dict(
        numbers.horse.verdicts.filter(series_key__in=keys.values())
        .order_by("pk")
        .values_list("series_key", "state")
    )
    return {
        foot: Standing(DriftState(judged[key])) if key in judged else Standing.OLD
        for foot, key in keys.items()
    }
