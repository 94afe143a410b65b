"""One foot: from the side, and all its quantities as a ladder of charts over the same days."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from caseboard.lib import clock
from horses.access import access_get, may, require
from horses.accounts.request import SignedInRequest
from horses.models import Person, Picture
from horses.presenters.picture_words import picture_shown, shows_words
from horses.queries.pictures import pictures_for
from measurements.charts.draw import LADDER, Drawn, draw
from measurements.charts.strip import Happened, Strip, strip_of
from measurements.hoof.feet import Foot
from measurements.hoof.quantities import QUANTITIES
from measurements.panels.feet import CHART_SPAN
from measurements.panels.offered import foot_words
from measurements.panels.side_view import side_story
from measurements.queries.numbers import Numbers, numbers_of
from measurements.series.chart import series_chart
from measurements.series.derived import derived_charts
from measurements.series.foot_side import foot_side
from measurements.series.happened import happened_to
from measurements.verdicts.of_series import series_verdict
from measurements.wording import entered_words

# The order down the page: what is measured most, toe over heel. The others follow as they stand.
NEWEST = 12  # pictures in the row; house default
FIRST = ("toe_angle", "heel_angle", "toe_length")


@dataclass(frozen=True)
class Rung:
    """One chart of the ladder with its newest value and the page that has the rest."""

    label: str
    value: str
    url: str
    drawn: Drawn


@require_safe
def foot(request: SignedInRequest, case_id: str, foot: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    if foot not in Foot.__members__:
        raise Http404("no such foot")
    today = clock.now().date()
    numbers = numbers_of(access.horse, today=today)
    story = side_story(numbers, foot)
    pictures = list(pictures_for(access).standing().filter(foot=foot))
    page = _Ladder(request.user, case_id, numbers, foot, today, pictures)
    context: dict[str, Any] = {
        "case": access.case,
        "horse": access.horse,
        "foot": foot,
        "foot_words": foot_words(foot, request.user.side_words),
        "side": foot_side(story, request.user.length_unit) if story else None,
        "rungs": page.rungs(),
        "derived": page.derived(),
        "strip": page.strip(),
        "pictures": [picture_shown(p, request.user) for p in reversed(pictures)][:NEWEST],
        "comparable": sum(p.view == Picture.View.SIDE for p in pictures) > 1,
        "feet": [(other.value, reverse("foot", args=[case_id, other.value])) for other in Foot],
        "may_record": may(access, "reading.record"),
        "may_picture": may(access, "picture.add"),
    }
    return render(request, "measurements/foot.html", context)


@dataclass(frozen=True)
class _Ladder:
    """The charts of one foot, over the same days."""

    user: Person
    case_id: str
    numbers: Numbers
    foot: str
    today: date
    pictures: Sequence[Picture]

    def rungs(self) -> list[Rung]:
        found = (self._rung(quantity) for quantity in self._measured())
        return [rung for rung in found if rung is not None]

    def derived(self) -> list[tuple[str, Drawn]]:
        charts = derived_charts(
            self.numbers, self.foot, length_unit=self.user.length_unit, span=self._span()
        )
        return [(one.label, draw(chart, LADDER)) for one, chart in charts]

    def strip(self) -> Strip | None:
        pictures = [
            Happened(
                p.taken_on,
                "picture",
                f"{p.taken_on:%-d %b %Y}: picture, {shows_words('', p.view).lower()}",
            )
            for p in self.pictures
        ]
        happened = [*happened_to(self.numbers, self.foot), *pictures]
        return strip_of(happened, self._span(), LADDER)

    def _measured(self) -> list[str]:
        known = [q for q in QUANTITIES if self.numbers.readings.get((self.foot, q))]
        return sorted(known, key=lambda q: FIRST.index(q) if q in FIRST else len(FIRST))

    def _span(self) -> tuple[date, date]:
        """All of it from the first reading on, but no further back than a chart of the board."""
        rows = [row for q in self._measured() for row in self.numbers.readings[self.foot, q]]
        first = min((row.taken_on for row in rows), default=self.today)
        return max(first, self.today - CHART_SPAN), self.today + timedelta(days=1)

    def _rung(self, quantity: str) -> Rung | None:
        since, until = self._span()
        chart = series_chart(
            self.numbers,
            self.foot,
            quantity,
            length_unit=self.user.length_unit,
            since=since,
            judged=series_verdict(self.numbers, self.foot, quantity, self.today),
        )
        latest = self.numbers.latest(self.foot, quantity)
        if chart is None or latest is None:
            return None
        return Rung(
            label=QUANTITIES[quantity].label_on(Foot(self.foot)),
            value=entered_words(latest, self.user.length_unit),
            url=reverse("series", args=[self.case_id, self.foot, quantity]),
            drawn=draw(replace(chart, since=since, until=until), LADDER),
        )
