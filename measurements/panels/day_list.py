"""The bands and the last readings of many horses at once: a fixed number of queries, and those of one
horse more for each that has a reading which jumped."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Exists, F, OuterRef, Q, Window
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
from measurements.queries.reading_values import COLUMNS, ReadingValue
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
) -> tuple[Mapping[int, list[FootNumbers]], list[ReadingValue]]:
    """By horse, the feet of which something is known, in the order in which feet are named; and the
    readings that only films give, oldest first.

    The caller has looked whose horses these are.
    """
    ids = set(horse_ids)
    readings, jumped = _last_and_filmed(ids)
    feet: dict[int, dict[str, FootNumbers]] = defaultdict(
        lambda: {foot: FootNumbers(foot) for foot in FEET}
    )
    banded: set[tuple[int, str, str]] = set()
    for horse_id, target in _bands(ids, today):
        unit = shown_unit(target.quantity, length_unit)
        banded.add((horse_id, target.foot, target.quantity))
        label = QUANTITIES[target.quantity].label_on(Foot(target.foot))
        feet[horse_id][target.foot].bands.append(f"{label}: {band_words(target, unit)}")
    for reading in _newest(readings):
        key = (reading.horse_id, reading.foot, reading.quantity)
        if reading.quantity in FIRST or key in banded:
            label = QUANTITIES[reading.quantity].label_on(Foot(reading.foot))
            value = (label, entered_words(reading, length_unit), when_words(reading))
            feet[reading.horse_id][reading.foot].values.append(value)
    for horse in Horse.objects.filter(pk__in=jumped) if jumped else ():
        jumps = jumps_standing(numbers_of(horse, today=today), today)
        for foot in FEET:
            feet[horse.pk][foot].again = again_lines(jumps, foot, length_unit)
    found = {
        horse_id: [f for f in by_foot.values() if f.bands or f.values or f.again]
        for horse_id, by_foot in feet.items()
    }
    return found, [reading for reading in readings if reading.quantity in FILMED]


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


def _last_and_filmed(ids: set[int]) -> tuple[list[ReadingValue], set[int]]:
    """The last reading of each quantity and foot, and all that only films give, oldest first; and
    the few horses of which an alert says that a reading jumped: one query."""
    newest_first = Window(
        RowNumber(),
        partition_by=[F("horse"), F("foot"), F("quantity")],
        order_by=[F("taken_on").desc(), F("pk").desc()],
    )
    raised = Alert.objects.filter(rule=JUMP_RULE, cleared_at=None, horse=OuterRef("horse"))
    rows = Reading.objects.filter(horse__in=ids, corrected_by=None, is_void=False)
    rows = rows.annotate(place=newest_first, jumped=Exists(raised))
    rows = rows.filter(Q(place=1) | Q(quantity__in=FILMED)).order_by("taken_on", "pk")
    found = list(rows.values_list(*COLUMNS, "jumped"))
    values = [ReadingValue._make(row[:-1]) for row in found]
    return values, {value.horse_id for value, row in zip(values, found, strict=True) if row[-1]}


def _newest(readings: Iterable[ReadingValue]) -> list[ReadingValue]:
    """The last of each quantity and foot, by quantity; `readings` oldest first."""
    last = {(r.horse_id, r.foot, r.quantity): r for r in readings}
    return sorted(last.values(), key=lambda reading: reading.quantity)
