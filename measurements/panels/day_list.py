"""The bands and the last readings of many horses at once: a fixed number of queries, and those of one
horse more for each that has a reading which jumped."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from django.db.models import F, Q, QuerySet, Window
from django.db.models.functions import RowNumber

from caseboard.lib.words import FEET
from horses.models import Alert, Horse, PlanItem
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES
from measurements.models import Reading, Target
from measurements.panels.feet import when_words
from measurements.queries.dangers import again_lines
from measurements.queries.films import FILMED
from measurements.queries.jumps import JUMP_RULE, jumps_standing
from measurements.queries.numbers import in_force_on, numbers_of
from measurements.queries.reading_values import ReadingValue, reading_values
from measurements.verdicts.bands import band_words
from measurements.wording import entered_words, shown_unit

FIRST = ("toe_angle", "toe_length")  # read on a round, with whatever has a band; house default


@dataclass
class FootNumbers:
    """One foot: its bands in words, and each quantity's last value with when it was taken."""

    foot: str
    bands: list[str] = field(default_factory=list)
    values: list[tuple[str, str, str]] = field(default_factory=list)
    again: list[str] = field(default_factory=list)  # what jumped, to be measured again


def numbers_for_round(
    horse_ids: Iterable[int], *, today: date, length_unit: str
) -> Mapping[int, list[FootNumbers]]:
    """By horse, the feet of which something is known, in the order in which feet are named.

    The caller has looked whose horses these are.
    """
    ids = set(horse_ids)
    feet: dict[int, dict[str, FootNumbers]] = defaultdict(
        lambda: {foot: FootNumbers(foot) for foot in FEET}
    )
    banded: set[tuple[int, str, str]] = set()
    for horse_id, target in _bands(ids, today):
        unit = shown_unit(target.quantity, length_unit)
        banded.add((horse_id, target.foot, target.quantity))
        label = QUANTITIES[target.quantity].label_on(Foot(target.foot))
        feet[horse_id][target.foot].bands.append(f"{label}: {band_words(target, unit)}")
    for reading in _last_readings(ids):
        key = (reading.horse_id, reading.foot, reading.quantity)
        if reading.quantity in FIRST or key in banded:
            label = QUANTITIES[reading.quantity].label_on(Foot(reading.foot))
            value = (label, entered_words(reading, length_unit), when_words(reading))
            feet[reading.horse_id][reading.foot].values.append(value)
    for horse in _jumped(ids):
        jumps = jumps_standing(numbers_of(horse, today=today), today)
        for foot in FEET:
            feet[horse.pk][foot].again = again_lines(jumps, foot, length_unit)
    return {
        horse_id: [f for f in by_foot.values() if f.bands or f.values or f.again]
        for horse_id, by_foot in feet.items()
    }


def _jumped(ids: set[int]) -> QuerySet[Horse]:
    """The few of which an alert says that a reading jumped: only their whole series are read."""
    raised = Alert.objects.filter(rule=JUMP_RULE, cleared_at=None, horse__in=ids)
    return Horse.objects.filter(pk__in=raised.values("horse"))


def _bands(ids: set[int], today: date) -> list[tuple[int, Target]]:
    open_item = Q(plan_version__item__status=PlanItem.Status.OPEN)
    on_the_plan = open_item & Q(plan_version__item__case__closed_at=None)
    rows = Target.objects.filter(Q(plan_version=None) | on_the_plan, horse__in=ids)
    by_horse: dict[int, list[Target]] = defaultdict(list)
    for row in rows.order_by("set_at", "pk"):
        by_horse[row.horse_id].append(row)
    return [
        (horse_id, target)
        for horse_id, bands in by_horse.items()
        for target in in_force_on(bands, today).values()
        if target.has_bounds
    ]


def _last_readings(ids: set[int]) -> list[ReadingValue]:
    newest_first = Window(
        RowNumber(),
        partition_by=[F("horse"), F("foot"), F("quantity")],
        order_by=[F("taken_on").desc(), F("pk").desc()],
    )
    rows = Reading.objects.filter(horse__in=ids, corrected_by=None, is_void=False)
    return reading_values(rows.annotate(place=newest_first).filter(place=1).order_by("quantity"))


def film_readings(ids: Iterable[int]) -> list[ReadingValue]:
    """The readings that only films give, of many horses, oldest first: one query."""
    rows = Reading.objects.filter(
        horse__in=set(ids), quantity__in=FILMED, corrected_by=None, is_void=False
    )
    return reading_values(rows.order_by("taken_on", "pk"))
