"""Everything about one quantity on one foot: chart, sentences, the table of readings, sources."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from caseboard.lib import clock
from horses.access import CaseAccess, access_get, may, require
from horses.accounts.request import SignedInRequest
from horses.models import Person
from measurements.charts.draw import LARGE, PHONE, draw
from measurements.charts.legend import chart_legend
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES, Method, Shoeing, TrimState
from measurements.models import Reading
from measurements.panels.offered import foot_words
from measurements.panels.steps_plan import QUANTITY as STEPS_QUANTITY
from measurements.panels.steps_plan import planned_words
from measurements.queries.numbers import Numbers
from measurements.queries.numbers_kept import numbers_kept
from measurements.queries.reading_values import ReadingValue
from measurements.queries.series_readings import series_readings, struck_values
from measurements.series.certainty import certainty, certainty_sources
from measurements.series.chart import series_chart
from measurements.series.sources import assumptions
from measurements.series.table import reading_rows
from measurements.series.what_if import WhatIf, what_if
from measurements.series.words import series_story, target_words
from measurements.verdicts.bands import band_look, trend_of
from measurements.verdicts.hand_changes import hand_change
from measurements.verdicts.hand_words import unsettled_words
from measurements.verdicts.levels import present_level
from measurements.verdicts.of_series import SeriesVerdict, series_verdict
from measurements.verdicts.yard_variation import learned_words
from measurements.wording import entered_words, shown_unit

ROWS_A_PAGE = 40  # three or four years of visits; house default


@dataclass(frozen=True)
class OtherSeries:
    """A link to the same quantity on another foot, or to another quantity of this foot."""

    label: str
    value: str
    url: str
    current: bool


@dataclass(frozen=True)
class LatestValue:
    """The newest value of one moment."""

    label: str
    value: str
    reading: ReadingValue


@require_safe
def series(request: SignedInRequest, case_id: str, foot: str, quantity: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    if not _is_measured(foot, quantity):
        raise Http404("no such series")
    today = clock.now().date()
    numbers = numbers_kept(access.horse, today=today)
    listed = Paginator(series_readings(access, foot, quantity), ROWS_A_PAGE)
    rows = listed.get_page(request.GET.get("page"))
    page = _SeriesPage(access, request.user, numbers, foot, quantity)
    verdict = series_verdict(numbers, foot, quantity, today)
    asked = page.what_if(verdict, request.GET)
    may_aim = may(access, "target.routine")
    shown = {
        "case": access.case,
        "horse": access.horse,
        "foot": foot,
        "quantity": quantity,
        "foot_words": foot_words(foot, request.user.side_words),
        "label": QUANTITIES[quantity].label_on(Foot(foot)),
        "latest": page.latest(),
        "bands": page.bands(),
        "now": today,
        "rows": page.rows(list(rows), verdict),
        "rows_page": rows,
        "has_weights": bool(verdict.weights),
        "feet": page.feet(),
        "quantities": page.quantities(),
        "may_record": may(access, "reading.record"),
        "may_aim": may_aim,
        "may_step": may_aim and quantity == STEPS_QUANTITY and (foot, quantity) in numbers.targets,
        "what_if": asked,
        "pending": verdict.pending,
        "planned": planned_words(numbers, foot, quantity),
        **page.chart(verdict),
        **page.words(verdict, today),
    }
    status = 422 if asked is not None and asked.is_wrong else 200
    return render(request, "measurements/series.html", shown, status=status)


def _is_measured(foot: str, quantity: str) -> bool:
    known = foot in list(Foot) and quantity in QUANTITIES
    return known and Foot(foot) in QUANTITIES[quantity].feet


class _SeriesPage:
    """The parts of the page of one series, for one reader."""

    def __init__(
        self, access: CaseAccess, person: Person, numbers: Numbers, foot: str, quantity: str
    ) -> None:
        self.access, self.person, self.numbers = access, person, numbers
        self.foot, self.quantity = foot, quantity
        self.length_unit = person.length_unit

    def latest(self) -> list[LatestValue]:
        """The newest value after a trim, before one, and between visits when that is newer."""
        found = [
            LatestValue(state.label, entered_words(reading, self.length_unit), reading)
            for state in (TrimState.AFTER, TrimState.BEFORE, TrimState.BETWEEN)
            if (reading := self.numbers.latest_before(self.foot, self.quantity, state))
        ]
        newest = self.numbers.latest(self.foot, self.quantity)
        between = TrimState.BETWEEN.value
        return [v for v in found if v.reading.trim_state != between or v.reading == newest]

    def bands(self) -> list[str]:
        """The bands that no reading can be compared with yet; the story tells of the others."""
        unit = shown_unit(self.quantity, self.length_unit)
        targets = self.numbers.targets.get((self.foot, self.quantity), [])
        return [target_words(t, unit) for t in targets if band_look(self.numbers, t) is None]

    def rows(self, readings: Sequence[Reading], verdict: SeriesVerdict) -> list[Any]:
        own = self.person.pk if may(self.access, "reading.correct") else None
        return list(
            reading_rows(
                readings,
                length_unit=self.length_unit,
                doubtful=verdict.doubtful,
                weights=verdict.weights,
                own=own,
            )
        )

    def chart(self, verdict: SeriesVerdict) -> dict[str, Any]:
        """Laid out once for these numbers and this verdict."""
        judged = verdict.verdict.pk if verdict.verdict else None
        return self.numbers.worked_out(
            ("large chart", self.foot, self.quantity, self.length_unit, judged),
            lambda: self._chart(verdict),
        )

    def _chart(self, verdict: SeriesVerdict) -> dict[str, Any]:
        made = series_chart(
            self.numbers,
            self.foot,
            self.quantity,
            length_unit=self.length_unit,
            corrected=struck_values(self.access, self.numbers, self.foot, self.quantity),
            doubtful=verdict.doubtful,
            judged=verdict,
        )
        if made is None:
            return {"chart": None}
        return {
            "chart": draw(made, LARGE),
            "chart_phone": draw(made, PHONE),
            "legend": chart_legend(made),
        }

    def words(self, verdict: SeriesVerdict, today: Any) -> dict[str, Any]:
        newest = self.numbers.latest(self.foot, self.quantity)
        if newest is None:
            return {"story": [], "assumed": [], "certainty": []}
        trend = trend_of(self.numbers, self.foot, self.quantity)
        unit = shown_unit(self.quantity, self.length_unit)
        story = series_story(
            self.numbers,
            self.foot,
            self.quantity,
            trend,
            length_unit=self.length_unit,
            today=today,
            verdict=verdict.words,
        )
        shoeing = Shoeing(
            newest.shoeing or self.numbers.shoeing_on(self.foot, newest.taken_on, newest.trim_state)
        )
        assumed = assumptions(self.quantity, shoeing, Method(newest.method), trend, unit)
        reader = self.person.public_id
        sure = certainty(self.numbers, self.foot, self.quantity, reader=reader, unit=unit)
        learned = "" if verdict.verdict is None else learned_words(verdict.verdict.result)
        sure += [learned] if learned else []
        assumed += certainty_sources(self.numbers, self.quantity, reader)
        change = hand_change(self.numbers, self.foot, self.quantity)
        unsettled = change and unsettled_words(self.foot, self.quantity, change)
        return {
            "story": story,
            "assumed": assumed,
            "certainty": sure,
            "hands": unsettled in story,
        }

    def what_if(self, verdict: SeriesVerdict, query: Any) -> WhatIf | None:
        level = present_level(self.numbers, self.foot, self.quantity, verdict.verdict)
        unit = shown_unit(self.quantity, self.length_unit)
        return what_if(self.numbers, self.foot, self.quantity, level, query, unit)

    def feet(self) -> list[OtherSeries]:
        words = self.person.side_words
        return [
            self._other(foot.value, self.quantity, foot_words(foot.value, words))
            for foot in Foot
            if foot in QUANTITIES[self.quantity].feet
        ]

    def quantities(self) -> list[OtherSeries]:
        """What else was measured on this foot."""
        return [
            self._other(self.foot, key, of.label_on(Foot(self.foot)))
            for key, of in QUANTITIES.items()
            if key == self.quantity or (self.foot, key) in self.numbers.readings
        ]

    def _other(self, foot: str, quantity: str, label: str) -> OtherSeries:
        newest = self.numbers.latest(foot, quantity)
        return OtherSeries(
            label=label,
            value=entered_words(newest, self.length_unit) if newest else "",
            url=reverse("series", args=[self.access.case.public_id, foot, quantity]),
            current=(foot, quantity) == (self.foot, self.quantity),
        )
