"""The steps from the present level of a toe angle to its band, with their days and in words."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from caseboard.lib.spans import days_words, one_or
from measurements.hoof.bands import way_to_band
from measurements.hoof.errors import HoofError
from measurements.hoof.mechanics import BASE_LENGTH_RANGE_MM, heel_raise_mm, height_along_wall_mm
from measurements.hoof.shape import THIN_SOLE_MM
from measurements.hoof.steps import WALL_GROWTH_MM_PER_DAY, StepPlan, steps_to_band
from measurements.hoof.units import format_value
from measurements.models import Target
from measurements.queries.dangers import sole_words
from measurements.queries.films import age_words
from measurements.queries.numbers import Numbers
from measurements.queries.planned import lead_band
from measurements.queries.reading_values import ReadingValue
from measurements.series.words import target_words
from measurements.verdicts.band_doubts import band_asked
from measurements.verdicts.bands import band_edges
from measurements.verdicts.judge import VerdictNow
from measurements.verdicts.levels import PresentLevel, present_level
from measurements.wording import foot_quantity, full_day_words, number_words, value_words

QUANTITY = "toe_angle"  # the angle that the published figures of trims and wedges are about
# For a foot whose length on the ground nobody has measured. House default, a riding horse's.
LENGTH_TO_BEGIN_WITH_MM = Decimal(130)


IN_DOUBT = (
    "No steps are offered to such a band. Set another one, or let the vet write on the plan what is "
    "to be done."
)


class BandInDoubt(HoofError):
    """A band that nobody should be led to step by step."""


@dataclass(frozen=True)
class Start:
    """From where to where: the level and the band, as it must be just after a trim."""

    level: PresentLevel
    target: Target
    low: float | None
    high: float | None
    doubts: tuple[str, ...] = ()  # why no steps are offered to this band

    @property
    def is_inside(self) -> bool:
        return not way_to_band(self.level.value, self.low, self.high)

    @property
    def is_surely_inside(self) -> bool:
        """Whether all of the level's likely range lies between the edges."""
        ends = (self.level.low, self.level.high)
        return not any(way_to_band(end, self.low, self.high) for end in ends)


@dataclass(frozen=True)
class StepsWay:
    """The steps, even ones, and the day of each; `from_on`: the trims from here on are meant."""

    plan: StepPlan
    days: tuple[date, ...]
    from_on: date
    length_mm: float

    @property
    def rate_per_visit(self) -> float:
        return round(self.plan.steps[0].change_deg, 3)

    @property
    def fingerprint(self) -> str:
        """What is proposed, so that nobody proposes other steps than those they saw."""
        return f"{self.rate_per_visit}:{len(self.days)}:{self.from_on}:{self.days[0]}"


def start_of(numbers: Numbers, foot: str, looked: VerdictNow) -> Start | None:
    """None while there is no band in force or nothing measured."""
    level = present_level(numbers, foot, QUANTITY, looked.verdict)
    target = band_of(numbers, foot)
    if level is None or target is None:
        return None
    asked = band_asked(numbers, foot, QUANTITY, target.moment, band_edges(target), level)
    return Start(level, target, *asked.after_trim, tuple(asked.words()))


def band_of(numbers: Numbers, foot: str) -> Target | None:
    """The band to go to: the one for just after the trim where there are several."""
    return lead_band(numbers.targets.get((foot, QUANTITY), []))


def length_reading(numbers: Numbers, foot: str) -> ReadingValue | None:
    """The newest length of the hoof on the ground that the geometry holds for."""
    least, most = BASE_LENGTH_RANGE_MM
    rows = numbers.readings.get((foot, "hoof_length"), [])
    return next((row for row in reversed(rows) if least <= row.value <= most), None)


def way_to(
    numbers: Numbers,
    foot: str,
    start: Start,
    *,
    change_deg: float,
    length_mm: float,
    planned_on: date | None,
    today: date,
) -> StepsWay | None:
    """The steps; None for a foot inside its band. Raises HoofError for steps that lead nowhere, or
    to a band that asks to be looked at again."""
    if start.doubts:
        raise BandInDoubt(f"{' '.join(start.doubts)} {IN_DOUBT}")
    trims = numbers.trim_days(foot)
    interval = numbers.horse.interval_days
    due = trims[-1] + timedelta(days=interval) if trims else today
    first_on = max(planned_on or due, today)

    def steps(change: float) -> StepPlan:
        return steps_to_band(
            start.level.value,
            start.low,
            start.high,
            first_visit_days=(first_on - today).days,
            interval_days=interval,
            base_length_mm=length_mm,
            change_per_visit_deg=change,
        )

    needed = len(steps(change_deg).steps)
    if not needed:
        return None
    # The same number of visits, the change shared out evenly among them.
    plan = steps(way_to_band(start.level.value, start.low, start.high) / needed)
    asked = steps(change_deg)
    return StepsWay(
        plan=StepPlan(plan.steps, plan.is_fast, asked.limited_by_horn),
        days=tuple(today + timedelta(days=round(step.at_days)) for step in plan.steps),
        from_on=max(today, trims[-1] + timedelta(days=1)) if trims else today,
        length_mm=length_mm,
    )


def steps_text(foot: str, start: Start, way: StepsWay) -> str:
    """What goes on the plan: "Left fore toe angle from about 47.5 to 50°, ..."."""
    size = value_words(QUANTITY, abs(way.rate_per_visit))
    turn = "steeper" if way.rate_per_visit > 0 else "flatter"
    count = len(way.days)
    visits = f"{number_words(count)} {one_or(count, 'visit', 'visits')}"
    each = "" if count == 1 else " each time"
    days = full_day_words(way.days[0])
    if count > 1:
        days += f", the last about {full_day_words(way.days[-1])}"
    band = target_words(start.target, "deg")
    return (
        f"{foot_quantity(foot, QUANTITY).capitalize()} from about "
        f"{value_words(QUANTITY, start.level.value)} to {value_words(QUANTITY, _end(way))} just "
        f"after the trim, in {visits}: about {size} {turn}{each}. The first about {days}. "
        f"It leads to {band}. Trimmed, each takes about "
        f"{sole_step_words(way.plan.steps[0].sole_mm, 'mm')} of sole at the bone's tip. The foot is "
        "looked at again before each step."
    )


def _end(way: StepsWay) -> float:
    return way.plan.steps[-1].aim_deg


def horn_words(interval_days: int, level_deg: float, length_unit: str) -> str:
    """How much horn grows until the next trim, as height above the ground."""
    wall = WALL_GROWTH_MM_PER_DAY * interval_days
    height = height_along_wall_mm(wall, level_deg)
    return (
        f"In {days_words(interval_days)} about {_mm(wall, length_unit)} of wall grows, which is "
        f"{_mm(height, length_unit)} of height at the toe."
    )


def raise_words(turn_deg: float, length_mm: float, length_unit: str) -> str:
    """The height at the heel that turns the foot by so much."""
    return _mm(abs(heel_raise_mm(turn_deg, length_mm)), length_unit)


def sole_step_words(sole_mm: float, length_unit: str) -> str:
    """ "1.9 mm": what a step takes of the sole at the tip of the coffin bone."""
    return sole_words(round(sole_mm, 1), length_unit)


def sole_left_words(film: ReadingValue | None, way: StepsWay, length_unit: str, today: date) -> str:
    """What the film showed and what all the steps together would leave of it, in words."""
    taken = sum(step.sole_mm for step in way.plan.steps)
    total = f"Trimmed, the steps take about {sole_step_words(taken, length_unit)} in all"
    if film is None:
        return f"{total}. This sole was never filmed: how much there is to take is not known."
    left = float(film.value) - taken
    age = f", {age_words(film.taken_on, today)}" if film.taken_on < today else ""
    showed = (
        f"The film of {full_day_words(film.taken_on)}{age} showed "
        f"{sole_words(float(film.value), length_unit)}."
    )
    limit = sole_words(THIN_SOLE_MM, length_unit)
    if left < THIN_SOLE_MM:
        return f"{total}, more than there is down to {limit}. {showed} Ask the vet for a new film first."
    return f"{total}. {showed} A trim takes sole as well: film again before the last step."


def length_words(length_mm: Decimal | float, length_unit: str) -> str:
    return format_value(length_mm, "mm", length_unit, 0)  # type: ignore[arg-type]


def _mm(millimetres: float, length_unit: str) -> str:
    return format_value(millimetres, "mm", length_unit, 1)  # type: ignore[arg-type]


def planned_words(numbers: Numbers, foot: str, quantity: str) -> list[str]:
    """The movement that the team has agreed to, for the page of its angle."""
    return [
        f"Agreed: about {value_words(quantity, abs(move['rate_per_visit']))} "
        f"{'steeper' if move['rate_per_visit'] > 0 else 'flatter'} at each of "
        f"{number_words(int(move['visits']))} {one_or(move['visits'], 'trim', 'trims')} from "
        f"{full_day_words(date.fromisoformat(move['from_on']))} on. Movement like that is as planned."
        for move in numbers.planned.get(foot, [])
        if move["quantity"] == quantity
    ]
