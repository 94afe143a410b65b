"""The page of steps to a band: worked out for vet and farrier, proposed to the team."""

import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.http import HttpResponse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from horses.models import PlanItem
from horses.services.plan import latest_version
from horses.services.visit_planning import visit_plan
from measurements.hoof.mechanics import NAVICULAR_LOAD_CAUTION
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, shut, text_of, told, verbs

pytestmark = pytest.mark.usefixtures("clock_stands")
LOW = [46.0, 46.2, 45.9, 46.1]


def ready(cast: Cast, now: datetime, who: str = "vet", **band: Any) -> None:
    """A foot at about 46°, and a band of 50 to 54° for it."""
    build.series(cast.access(cast.farrier), now, LOW)
    build.target(cast.access(getattr(cast, who)), now, therapeutic=who == "vet", **band)


def look(cast: Cast, who: str = "vet", **query: str) -> HttpResponse:
    return Door(getattr(cast, who), cast.case).get("steps", "LF", **query)


def send(cast: Cast, who: str = "vet", **fields: str) -> HttpResponse:
    """The form as the page shows it, with some fields changed."""
    page = text_of(look(cast, who))
    names = ("seen", "change", "length", "client_key")
    shown = {name: re.search(rf'name="{name}" value="([^"]*)"', page) for name in names}
    sent = {name: found[1] for name, found in shown.items() if found}
    fields = {**sent, "reason": "Straight axis on the films.", **fields}
    return Door(getattr(cast, who), cast.case).post("steps", "LF", **fields)


def days_of(page: str) -> list[str]:
    return re.findall(r'<th scope="row"[^>]*>([^<]+)</th>', page)


@pytest.mark.parametrize("who", ["vet", "farrier", "stand_in"])
def test_vet_and_farrier_see_the_steps(cast: Cast, now: datetime, who: str) -> None:
    ready(cast, now)
    answer = look(cast, who)
    assert answer.status_code == 200
    assert "2 visits to 50°" in text_of(answer)


@pytest.mark.parametrize("who", ["owner", "carer"])
def test_owners_and_carers_work_out_no_steps(cast: Cast, now: datetime, who: str) -> None:
    ready(cast, now)
    assert look(cast, who).status_code == 403
    assert Door(getattr(cast, who), cast.case).post("steps", "LF").status_code == 403


@pytest.mark.parametrize("who", ["stranger", "removed", "other_vet", "staff"])
def test_a_stranger_gets_404(cast: Cast, who: str) -> None:
    assert look(cast, who).status_code == 404
    assert Door(getattr(cast, who), cast.case).post("steps", "LF").status_code == 404


@pytest.mark.parametrize("foot", ["XX", "lf", "LFX"])
def test_there_is_no_other_foot(cast: Cast, foot: str) -> None:
    assert Door(cast.vet, cast.case).get("steps", foot).status_code == 404


def test_a_closed_case_takes_no_steps(cast: Cast, now: datetime) -> None:
    shut(cast.case, now)
    assert look(cast).status_code == 403


def test_another_way_of_sending_gets_405(cast: Cast) -> None:
    door = Door(cast.vet, cast.case)
    assert door.client.put(door.address("steps", "LF")).status_code == 405


def test_nothing_measured_is_said(cast: Cast, now: datetime) -> None:
    build.target(cast.access(cast.vet), now)
    assert "Not measured yet" in text_of(look(cast))


def test_no_band_is_said_and_one_is_offered(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, LOW)
    page = text_of(look(cast))
    assert "No band to go to" in page
    assert Door(cast.vet, cast.case).address("target_new") in page


def test_a_foot_inside_its_band_needs_no_steps(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, [52.0, 52, 52])
    build.target(cast.access(cast.vet), now)
    page = text_of(look(cast))
    assert "No steps are needed" in page
    assert "Propose these steps" not in page


def test_a_foot_so_near_the_edge_that_it_may_be_outside_is_said_to(
    cast: Cast, now: datetime
) -> None:
    build.series(cast.access(cast.farrier), now, [50.3, 50.3, 50.3])
    build.target(cast.access(cast.vet), now)
    page = text_of(look(cast))
    assert "No steps are needed. But it stands so near an edge that it may be outside" in page


def test_a_foot_in_the_middle_of_a_wide_band_needs_no_second_look(
    cast: Cast, now: datetime
) -> None:
    build.series(cast.access(cast.farrier), now, [52.0, 52, 52, 52, 52])
    build.target(cast.access(cast.vet), now, low=Decimal(46), high=Decimal(58))
    assert "so near an edge" not in text_of(look(cast))


def test_the_steps_are_even_and_at_most_what_was_chosen(cast: Cast, now: datetime) -> None:
    ready(cast, now)
    page = text_of(look(cast, change="1.5"))
    changes = [
        float(c) for c in re.findall(r'rowheader"[^>]*>[^<]+</th>\s*<td[^>]*>([0-9.]+)°', page)
    ]
    assert len(changes) == 3
    assert max(changes) <= 1.5
    assert sum(changes) == pytest.approx(4, abs=0.5)


def test_the_first_step_is_at_the_next_planned_visit(cast: Cast, now: datetime) -> None:
    ready(cast, now)
    visit_plan(access=cast.access(cast.farrier), on=date(2026, 11, 20), now=now)
    assert days_of(text_of(look(cast))) == ["20 Nov 2026", "8 Jan 2027"]


def test_without_a_planned_visit_it_is_when_the_interval_is_over(cast: Cast, now: datetime) -> None:
    ready(cast, now)
    due = now.date() + timedelta(days=cast.horse.interval_days - 10)
    assert days_of(text_of(look(cast)))[0] == f"{due:%-d %b %Y}"


def test_heights_are_those_of_the_chosen_length(cast: Cast, now: datetime) -> None:
    ready(cast, now)
    page = text_of(look(cast, change="2", length="11"))
    assert "One degree is about 0.19 cm of height" in page  # 110 mm * tan(1 deg) = 1.92 mm
    assert "Nobody has measured this hoof on the ground" in page


def test_a_measured_length_counts_and_is_said(cast: Cast, now: datetime) -> None:
    ready(cast, now)
    access = cast.access(cast.farrier)
    build.reading(access, now, "LF", "hoof_length", 120, date(2026, 10, 1))
    page = text_of(look(cast, length="20"))
    assert "Length of the hoof on the ground: 12.0 cm, 1 Oct 2026." in page
    assert 'name="length"' not in page
    assert "0.21 cm of height" in page  # 120 mm * tan(1 deg) = 2.09 mm


def test_the_horn_of_a_cycle_is_told(cast: Cast, now: datetime) -> None:
    ready(cast, now)
    # 7 mm in 28 days (Josseck et al., Equine Vet J 1995;27:175-182), times sin(46 deg).
    assert "In 49 days about 1.23 cm of wall grows" in text_of(look(cast)) or (
        "In 49 days about 1.22 cm of wall grows" in text_of(look(cast))
    )


def test_the_load_on_the_navicular_bone_comes_with_its_caution(cast: Cast, now: datetime) -> None:
    ready(cast, now)
    page = text_of(look(cast))
    assert NAVICULAR_LOAD_CAUTION in page
    assert "Eliashar" in page


def test_a_fast_way_is_warned_of(cast: Cast, now: datetime) -> None:
    ready(cast, now, low=Decimal("49.5"))
    assert "single practitioner source" not in text_of(look(cast))
    assert "single practitioner source; no study was found" in text_of(look(cast, change="5"))


def test_a_band_for_the_end_of_the_cycle_is_reached_with_the_growth_allowed_for(
    cast: Cast, now: datetime
) -> None:
    ready(cast, now, moment="before", low=Decimal(47), high=Decimal(51))
    # It falls by about 2.6 until the next trim, so 47 then is a little under 50 now.
    found = re.search(r"visits to (49\.[0-9])°", text_of(look(cast)))
    assert found is not None


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ({"change": ""}, "How many degrees at most?"),
        ({"change": "0"}, "A change at one visit is 0.1 to 6°"),
        ({"change": "7"}, "A change at one visit is 0.1 to 6°"),
        ({"change": "-2"}, "A change at one visit is 0.1 to 6°"),
        ({"change": "two"}, "Could not read"),
        ({"change": "nan"}, "Could not read"),
        ({"change": "3 cm"}, "This is an angle"),
        ({"change": "2", "length": "1"}, "A hoof is 4.0 cm to 25.0 cm long"),
        ({"change": "2", "length": "99"}, "Look at the unit"),
        ({"change": "2", "length": ""}, "About how long is the hoof"),
    ],
)
def test_what_is_wrong_is_said_beside_the_field(
    cast: Cast, now: datetime, query: dict[str, str], words: str
) -> None:
    ready(cast, now)
    answer = look(cast, **query)
    assert answer.status_code == 422
    assert words in text_of(answer)


def test_a_way_that_takes_years_is_said_to(cast: Cast, now: datetime) -> None:
    ready(cast, now, low=Decimal(53), high=Decimal(57))
    page = text_of(look(cast, change="0.1"))
    assert "At this pace it would take years" in page
    assert "Propose these steps" not in page


def test_the_vet_proposes_the_steps_as_part_of_a_treatment(cast: Cast, now: datetime) -> None:
    ready(cast, now)
    answer = send(cast)
    item = PlanItem.objects.get(kind="trim")
    version = latest_version(item)
    assert answer["Location"].endswith(f"/plan/{item.public_id}/")
    assert version.therapeutic
    assert version.target is not None
    assert (version.target["foot"], version.target["visits"]) == ("LF", 2)
    assert version.target["from_on"] == "2026-11-02"
    assert version.text.startswith("Left fore toe angle from about 46")
    assert "plan.item.proposed" in verbs(cast.case)
    assert "Ola Owner" in told(cast.case, "plan.item.proposed")


def test_the_farrier_proposes_steps_to_a_routine_aim(cast: Cast, now: datetime) -> None:
    ready(cast, now, "farrier")
    assert send(cast, "farrier").status_code == 302
    assert not latest_version(PlanItem.objects.get(kind="trim")).therapeutic


def test_steps_to_the_vets_band_are_the_vets_to_propose(cast: Cast, now: datetime) -> None:
    ready(cast, now)
    assert "Propose these steps" not in text_of(look(cast, "farrier"))
    seen = re.search(r'name="seen" value="([^"]*)"', text_of(look(cast)))
    assert seen is not None
    answer = send(cast, "farrier", seen=seen[1], change="2", length="13")
    assert answer.status_code == 403
    assert not PlanItem.objects.filter(kind="trim").exists()


def test_a_reason_is_needed_and_the_rest_stays(cast: Cast, now: datetime) -> None:
    ready(cast, now)
    answer = send(cast, change="1.5", reason=" ")
    assert answer.status_code == 422
    assert "Say why" in text_of(answer)
    assert 'name="change" value="1.5"' in text_of(answer)


def test_other_steps_than_those_seen_are_shown_first(cast: Cast, now: datetime) -> None:
    ready(cast, now)
    answer = send(cast, change="1")
    page = text_of(answer)
    assert answer.status_code == 409
    assert "The numbers have changed since you saw these steps" in page
    assert "Straight axis on the films." in page
    assert not PlanItem.objects.filter(kind="trim").exists()
    seen = re.search(r'name="seen" value="([^"]*)"', page)
    assert seen is not None
    assert send(cast, change="1", seen=seen[1]).status_code == 302


def test_an_empty_sending_is_answered_in_words(cast: Cast, now: datetime) -> None:
    ready(cast, now)
    answer = Door(cast.vet, cast.case).post("steps", "LF")
    assert answer.status_code == 422
    assert "How many degrees at most?" in text_of(answer)


@pytest.mark.parametrize("text", ["\x00", "\ud800".encode("utf-8", "surrogatepass"), "x" * 10**6])
def test_hostile_text_breaks_nothing(cast: Cast, now: datetime, text: Any) -> None:
    ready(cast, now)
    for name in ("change", "length", "seen", "reason"):
        assert send(cast, **{name: text}).status_code in (302, 409, 422)


@given(change=st.text(max_size=12), length=st.text(max_size=12))
@settings(
    max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)
def test_whatever_is_asked_has_an_answer(
    cast: Cast, now: datetime, change: str, length: str
) -> None:
    if not cast.horse.targets.exists():
        ready(cast, now)
    assert look(cast, change=change, length=length).status_code in (200, 422)


def test_the_page_of_the_angle_leads_there_and_tells_of_agreed_steps(
    cast: Cast, now: datetime, drain: Callable[..., int]
) -> None:
    from tests.measurements.test_steps_service import agree

    ready(cast, now)
    door = Door(cast.farrier, cast.case)
    assert door.address("steps", "LF") in text_of(door.get("series", "LF", "toe_angle"))
    send(cast)
    agree(cast, PlanItem.objects.get(kind="trim"), now)
    assert "Movement like that is as planned." in text_of(door.get("series", "LF", "toe_angle"))
