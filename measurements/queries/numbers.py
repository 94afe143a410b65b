"""What people read of the numbers, and the series the hoof mathematics are given."""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any, TypeVar, cast

from django.db.models import Prefetch, Q, QuerySet

from horses.access import CaseAccess
from horses.domain.shoe_state import ShoeEvent, Shoes, shoes_from
from horses.domain.wording import day_words
from horses.models import (
    Horse,
    HorseWeight,
    PlanItem,
    PlanItemVersion,
    Shoeing,
    Trim,
    Visit,
)
from horses.models.visit_life import VisitStatus
from horses.queries.plan_state import version_state
from horses.queries.shoes import shoe_events_of
from measurements.hoof import quantities
from measurements.hoof.quantities import Method, TrimState
from measurements.hoof.repeats import MeasuringError
from measurements.hoof.series import SeriesReading
from measurements.models import Reading, Target
from measurements.queries.planned import band_that_stood, is_believable
from measurements.queries.reading_values import (
    ReadingValue,
    place_in_series,
    reading_values,
)
from measurements.queries.refined_errors import refined
from measurements.queries.repeats import Source, own_errors, person_key, reading_sd

T = TypeVar("T")

ORIGIN = date(2000, 1, 1)  # day zero of the series' time axis; any fixed day does


def readings_for(access: CaseAccess) -> QuerySet[Reading]:
    """Every reading of the horse, corrected ones included, oldest first."""
    return Reading.objects.filter(horse=access.horse).select_related(
        "recorded_by", "corrects", "corrected_by", "points__picture__case"
    )


def targets_for(access: CaseAccess) -> QuerySet[Target]:
    """Every band that was ever set for the horse, oldest first."""
    return Target.objects.filter(horse=access.horse).select_related("set_by", "plan_version")


def current_readings(horse: Horse) -> QuerySet[Reading]:
    """The readings that stand: not replaced by a correction and not taken off the series."""
    return Reading.objects.filter(horse=horse, corrected_by=None, is_void=False)


@dataclass(frozen=True)
class Numbers:
    """Everything the rules, the board and the series page read of one horse, fetched at once.

    `readings` holds the current readings by (foot, quantity), oldest first.
    """

    horse: Horse
    readings: dict[tuple[str, str], list[ReadingValue]]
    trims: dict[str, list[date]]
    targets: dict[tuple[str, str], list[Target]]
    planned: dict[str, list[dict[str, Any]]]
    weight_kg: Decimal | None
    shoeing: dict[str, list[tuple[date, str]]]
    shoes: Shoes
    reported_trims: frozenset[date] = frozenset()  # the days that rest on a report alone
    # What was worked out from exactly these numbers. Numbers made of these begin without any.
    _worked: dict[Hashable, Any] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def worked_out(self, key: Hashable, make: Callable[[], T]) -> T:
        """What `make` works out from these numbers and the `key` alone, once. Nobody may change it."""
        if key not in self._worked:
            self._worked[key] = make()
        return cast(T, self._worked[key])

    def seen_with(self, horse: Horse) -> "Numbers":
        """The same numbers, with all that was worked out from them, of the row as it was just read."""
        seen = replace(self, horse=horse)
        object.__setattr__(seen, "_worked", self._worked)
        return seen

    @property
    def errors(self) -> dict[Source, MeasuringError]:
        """What people's own repeats say of their measuring; few repeats included."""
        return self.worked_out("errors", lambda: own_errors(self.readings))

    def series(self, foot: str, quantity: str) -> list[SeriesReading]:
        """The readings as the mathematics take them, those with a known trim before them only."""

        def made() -> list[SeriesReading]:
            rows = [self._series_reading(r) for r in self.readings.get((foot, quantity), [])]
            return [reading for reading in rows if reading is not None]

        return list(self.worked_out(("series", foot, quantity), made))

    def before(self, reading: Reading) -> "Numbers":
        """As its series stood when it was taken: without it, and without what was taken after it."""
        key = reading.foot, reading.quantity
        place = place_in_series(reading)
        earlier = [row for row in self.readings.get(key, []) if place_in_series(row) < place]
        return replace(self, readings={**self.readings, key: earlier})

    def latest(self, foot: str, quantity: str) -> ReadingValue | None:
        rows = self.readings.get((foot, quantity))
        return rows[-1] if rows else None

    def latest_before(self, foot: str, quantity: str, trim_state: str) -> ReadingValue | None:
        rows = self.readings.get((foot, quantity), [])
        return next((r for r in reversed(rows) if r.trim_state == trim_state), None)

    def shoeing_on(self, foot: str, day: date, trim_state: str = TrimState.BEFORE) -> str:
        """How the foot was shod on a day: after a trim as that day's work left it, else before it.

        Where nothing is known: shod, which has the surer growth (house default).
        """
        states = self.shoeing.get(foot, [])
        place = bisect_right if trim_state == TrimState.AFTER else bisect_left
        position = place([on for on, _ in states], day)
        if position:
            return states[position - 1][1]
        return states[0][1] if states else Shoeing.SHOD

    @property
    def last_trim_on(self) -> date | None:
        """The newest trim of any foot."""
        return max((days[-1] for days in self.trims.values() if days), default=None)

    @property
    def last_trim_words(self) -> str:
        """ "2 Nov 2026, reported": whose word it is stands with the day."""
        on = self.last_trim_on
        return f"{day_words(on)}, reported" if on in self.reported_trims else day_words(on)

    def trim_days(self, foot: str) -> list[date]:
        return self.trims.get(foot, [])

    def _series_reading(self, reading: ReadingValue) -> SeriesReading | None:
        days = self.trim_days(reading.foot)
        before = reading.trim_state == TrimState.BEFORE
        position = (bisect_left if before else bisect_right)(days, reading.taken_on)
        if position == 0:
            return None  # the trim it counts from is not known
        return SeriesReading(
            at_days=float((reading.taken_on - ORIGIN).days),
            value=float(reading.value),
            sd=reading_sd(reading, self.errors),
            trim_index=position,
            days_since_trim=float((reading.taken_on - days[position - 1]).days),
            trim_state=TrimState(reading.trim_state),
            shoeing=quantities.Shoeing(
                reading.shoeing
                or self.shoeing_on(reading.foot, reading.taken_on, reading.trim_state)
            ),
            method=Method(reading.method),
            by=person_key(reading),
            key=reading.public_id,
        )


def numbers_of(horse: Horse, *, today: date, without: Sequence[Visit] = ()) -> Numbers:
    """Reads the numbers of one horse as they stand today, with a fixed number of queries.

    `without`: the versions of a visit, the one in force last, for the form that corrects it: as if
    it had not been.
    """
    readings: dict[tuple[str, str], list[ReadingValue]] = defaultdict(list)
    rows = current_readings(horse)
    if without:
        rows = rows.exclude(visit__in=without)
    for row in sorted(refined(reading_values(rows)), key=place_in_series):
        readings[row.foot, row.quantity].append(row)
    trims: dict[str, list[date]] = defaultdict(list)
    reported: set[date] = set()
    told = Trim.objects.in_force().filter(horse=horse)
    for foot, on, status in told.values_list("foot", "trimmed_on", "visit__status"):
        trims[foot].append(on)
        if status == VisitStatus.REPORTED:
            reported.add(on)
    for days in trims.values():
        days.sort()
    events = shoe_events_of(horse, without=without[-1] if without else None)
    return Numbers(
        horse=horse,
        readings=dict(readings),
        trims=dict(trims),
        reported_trims=frozenset(reported),
        targets=targets_in_force(horse, today=today),
        planned=agreed_movements(horse, dict(trims)),
        weight_kg=HorseWeight.objects.filter(horse=horse)
        .values_list("weight_kg", flat=True)
        .last(),
        shoeing=_shoeing_history(events),
        shoes=shoes_from(events),
    )


def _shoeing_history(events: Iterable[ShoeEvent]) -> dict[str, list[tuple[date, str]]]:
    """How each foot was left, oldest first: at the visits, and by a shoe lost or put back."""
    states: dict[str, list[tuple[date, str]]] = defaultdict(list)
    for event in events:
        states[event.foot].append((event.on, event.shoeing))
    return dict(states)


def bands_in_force(horse: Horse) -> list[Target]:
    """The bands whose plan item and case are open, the newest last; one may wait for its day.

    A band stands from the day it is set: who has agreed to it is said beside it.
    """
    open_item = Q(plan_version__item__status=PlanItem.Status.OPEN)
    on_the_plan = open_item & Q(plan_version__item__case__closed_at=None)
    rows = Target.objects.filter(Q(plan_version=None) | on_the_plan, horse=horse)
    return list(rows.select_related("plan_version__item__case", "set_by").order_by("set_at", "pk"))


def in_force_on(bands: Iterable[Target], day: date) -> dict[tuple[str, str, str], Target]:
    """The newest band for each foot, quantity and moment whose first day has come."""
    return {(t.foot, t.quantity, t.moment): t for t in bands if t.from_on <= day}


def targets_in_force(horse: Horse, *, today: date) -> dict[tuple[str, str], list[Target]]:
    """The bands that a foot is compared with today, by foot and quantity."""
    found: dict[tuple[str, str], list[Target]] = defaultdict(list)
    for target in in_force_on(bands_in_force(horse), today).values():
        if target.has_bounds:
            found[target.foot, target.quantity].append(target)
    return dict(found)


def bands_of_case(access: CaseAccess) -> dict[tuple[str, str], list[Target]]:
    """The last bands that a case's plan set, whether it is closed by now or not."""
    rows = Target.objects.filter(plan_version__item__case=access.case, horse=access.horse)
    newest = {(t.foot, t.quantity, t.moment): t for t in rows.order_by("set_at", "pk")}
    found: dict[tuple[str, str], list[Target]] = defaultdict(list)
    for target in newest.values():
        if target.has_bounds:
            found[target.foot, target.quantity].append(target)
    return dict(found)


def agreed_movements(horse: Horse, trims: dict[str, list[date]]) -> dict[str, list[dict[str, Any]]]:
    """The step-by-step changes that the team has agreed to, by foot: movement as planned.

    A version that was replaced, done or withdrawn stays planned for the trims made while it stood:
    what was agreed and carried out then is no news afterwards either. Movement on the way to an
    absurd band never counts.
    """
    versions = PlanItemVersion.objects.prefetch_related("agreements").order_by("number")
    items = PlanItem.objects.filter(case__horse=horse, kind=PlanItem.Kind.TRIM)
    agreed = []
    for item in items.select_related("case").prefetch_related(
        "case__memberships", Prefetch("versions", queryset=versions)
    ):
        held = sorted({m.role for m in item.case.memberships.all() if m.left_at is None})
        for version, until in _stood_until(item):
            movement = version.target or {}
            if "rate_per_visit" in movement and version_state(version, held).is_agreed:
                agreed.append((movement, version, until))
    bands = list(Target.objects.filter(horse=horse).order_by("set_at", "pk")) if agreed else []
    found: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for movement, version, until in agreed:
        band = band_that_stood(bands, movement, version.proposed_at)
        made = _made_by(movement, until, trims.get(movement["foot"], []))
        if made["visits"] and is_believable(movement, band):
            found[movement["foot"]].append(made)
    return dict(found)


def _stood_until(item: PlanItem) -> Iterator[tuple[PlanItemVersion, date | None]]:
    """Each version with the last day it stood; None for the one that stands."""
    versions = list(item.versions.all())
    ended = None if item.status == PlanItem.Status.OPEN or not item.status_at else item.status_at
    for version, later in zip(versions, [*versions[1:], None], strict=True):
        if later is None:
            yield version, ended.date() if ended else None
        else:
            yield version, (later.from_on or later.proposed_at.date()) - timedelta(days=1)


def _made_by(movement: dict[str, Any], until: date | None, trims: list[date]) -> dict[str, Any]:
    """The movement as far as it had come by then; as it stands when nothing ended it."""
    if until is None:
        return movement
    first = date.fromisoformat(movement["from_on"])
    made = sum(first <= day <= until for day in trims)
    return {**movement, "visits": min(movement["visits"], made)}


def trim_moment(day: date, now: datetime) -> datetime:
    """The start of a day in the time zone of `now`."""
    return datetime.combine(day, datetime.min.time(), tzinfo=now.tzinfo)
