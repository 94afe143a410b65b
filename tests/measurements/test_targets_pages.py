"""A band is set: a target by the vet, a routine aim by the farrier; the plan carries it."""

from datetime import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.http import HttpResponse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from horses.models import PlanItem
from measurements.models import Target
from measurements.services.targets import newest_target_id
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, shut, text_of, told, verbs

pytestmark = pytest.mark.usefixtures("clock_stands")


def send(cast: Cast, who: str = "vet", **fields: Any) -> HttpResponse:
    sent = {
        "foot": "LF",
        "quantity": "toe_angle",
        "moment": "after",
        "low": "50",
        "high": "54",
        "from_on": "2026-11-02",
        "reason": "Straight axis on the films.",
        "therapeutic": "on",
        "seen": newest_target_id(cast.horse),
        **fields,
    }
    return Door(getattr(cast, who), cast.case).post("target_new", **sent)


def test_the_vet_sets_a_target_and_it_stands_on_the_plan(cast: Cast) -> None:
    answer = send(cast)
    target, item = Target.objects.get(), PlanItem.objects.get()
    assert (target.low, target.high, target.therapeutic) == (Decimal(50), Decimal(54), True)
    assert item.kind == "target"
    assert answer["Location"].endswith(f"/plan/{item.public_id}/")
    assert "target.set" in verbs(cast.case)
    assert "Finn Farrier" in told(cast.case, "plan.item.proposed")


def test_the_vet_may_set_a_routine_aim(cast: Cast) -> None:
    send(cast, therapeutic="")
    assert not Target.objects.get().therapeutic


def test_the_farriers_band_is_a_routine_aim_whatever_is_sent(cast: Cast) -> None:
    assert send(cast, "farrier").status_code == 302
    target = Target.objects.get()
    assert not target.therapeutic
    assert target.set_role == "farrier"


def test_the_farrier_is_not_offered_a_treatment(cast: Cast) -> None:
    assert 'name="therapeutic"' not in text_of(Door(cast.farrier, cast.case).get("target_new"))
    assert 'name="therapeutic"' in text_of(Door(cast.vet, cast.case).get("target_new"))


def test_a_farrier_does_not_replace_the_vets_band(cast: Cast) -> None:
    send(cast)
    answer = send(cast, "farrier", low="48")
    assert answer.status_code == 422
    assert "Ask the vet to change it" in text_of(answer)
    assert Target.objects.count() == 1


@pytest.mark.parametrize("who", ["owner", "carer"])
def test_owners_and_carers_set_no_bands(cast: Cast, who: str) -> None:
    assert Door(getattr(cast, who), cast.case).get("target_new").status_code == 403
    assert send(cast, who).status_code == 403


@pytest.mark.parametrize("who", ["stranger", "removed", "other_vet"])
def test_a_stranger_gets_404(cast: Cast, who: str) -> None:
    assert Door(getattr(cast, who), cast.case).get("target_new").status_code == 404
    assert send(cast, who).status_code == 404


def test_a_closed_case_takes_no_band(cast: Cast, now: datetime) -> None:
    shut(cast.case, now)
    assert send(cast).status_code == 403


def test_another_way_of_sending_gets_405(cast: Cast) -> None:
    door = Door(cast.vet, cast.case)
    assert door.client.put(door.address("target_new")).status_code == 405


def test_lengths_are_read_in_the_units_of_the_person(cast: Cast) -> None:
    send(cast, quantity="toe_length", low="7,5", high="8 1/4")
    target = Target.objects.get()
    assert (target.low, target.high) == (Decimal(75), Decimal("82.5"))


def test_another_unit_may_be_typed(cast: Cast) -> None:
    send(cast, quantity="toe_length", low="3 in", high="3 1/4 in")
    assert Target.objects.get().low == Decimal("76.2")


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"low": "54", "high": "50"}, "must be below the upper end"),
        ({"low": "50", "high": "50"}, "must be below the upper end"),
        ({"low": "5", "high": "54"}, "No horse has a toe angle like this"),
        ({"low": "", "high": ""}, "at least one end"),
        ({"low": "fifty"}, "Could not read"),
        ({"low": "5 cm"}, "This is an angle"),
        ({"reason": "  "}, "Say why"),
        ({"foot": ""}, "Which foot?"),
        ({"foot": "XX"}, "Select a valid choice"),
        ({"moment": ""}, "Just after the trim, or at the end"),
        ({"quantity": "mood"}, "Select a valid choice"),
        ({"from_on": ""}, "give the day"),
        ({"from_on": "9999-12-31"}, "Look at the year"),
        ({"from_on": "0001-01-01"}, "Look at the year"),
        ({"reason": "x" * 2000}, "room for 1,000"),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_stays(
    cast: Cast, fields: dict[str, str], words: str
) -> None:
    answer = send(cast, **fields)
    page = text_of(answer)
    assert answer.status_code == 422
    assert words in page
    assert fields.get("high", "54") in page
    assert not Target.objects.exists()


def test_the_values_as_they_stand_are_beside_the_fields(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, [52, 51.5, 51.6])
    page = text_of(Door(cast.vet, cast.case).get("target_new", foot="LF", quantity="toe_angle"))
    assert "51.6°, 23 Oct" in page
    assert "48.9°, 23 Oct" in page
    assert "growth allowed for" in page


def test_the_page_opens_with_the_band_that_stands(cast: Cast, now: datetime) -> None:
    build.target(cast.access(cast.vet), now)
    page = text_of(Door(cast.vet, cast.case).get("target_new", foot="LF", quantity="toe_angle"))
    assert 'value="50"' in page
    assert "Straight axis on the films." in page
    assert "the vet&#x27;s band of 50 to 54°" in page


def test_setting_another_band_changes_the_same_plan_item(cast: Cast) -> None:
    send(cast)
    send(cast, high="55")
    assert PlanItem.objects.count() == 1
    assert Target.objects.last().high == Decimal(55)  # type: ignore[union-attr]


def test_the_same_form_twice_is_one_band(cast: Cast) -> None:
    for _ in range(2):
        send(cast, client_key="k")
    assert Target.objects.count() == 1


def test_the_same_key_with_another_band_answers_409(cast: Cast) -> None:
    send(cast, client_key="k")
    answer = send(cast, client_key="k", high="55")
    assert answer.status_code == 409
    assert 'value="55"' in text_of(answer)


@pytest.mark.parametrize("query", ["foot=XX", "quantity=mood", "moment=never", "foot=%00"])
def test_an_address_that_makes_no_sense_opens_the_page_all_the_same(cast: Cast, query: str) -> None:
    door = Door(cast.vet, cast.case)
    assert door.client.get(f"{door.address('target_new')}?{query}").status_code == 200


def test_it_says_that_all_three_agree(cast: Cast) -> None:
    page = text_of(Door(cast.farrier, cast.case).get("target_new"))
    assert "owner, farrier and vet each agree" in page


TYPED = st.one_of(
    st.sampled_from(["NaN", "1e308", "5²", "0001-01-01", "\x00", "LF", "toe_length", "52", "on"]),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=40),
)
NAMES = st.sampled_from(
    ["foot", "quantity", "moment", "low", "high", "from_on", "reason", "therapeutic", "client_key"]
)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(sent=st.dictionaries(NAMES, TYPED))
def test_no_form_breaks_the_page(cast: Cast, sent: dict[str, str]) -> None:
    assert send(cast, **sent).status_code in (302, 409, 422)
