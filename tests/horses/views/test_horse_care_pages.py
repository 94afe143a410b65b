"""Pausing and ending a horse's care, and its weight."""

import re
from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest

from horses.models import Horse, HorseWeight
from horses.services.horses import horse_set_state
from tests.cast import Cast
from tests.horses.doors import Door, last_line, shut, text_of

pytestmark = pytest.mark.usefixtures("clock_stands")


def state_of(cast: Cast) -> tuple[str, str]:
    horse = Horse.objects.get(pk=cast.horse.pk)
    return horse.state, horse.state_reason


# -- pause, end, take up


@pytest.mark.parametrize(
    ("happening", "words", "state", "reason"),
    [
        ("resting", "Until spring.", "paused", "Resting. Until spring."),
        ("away", "", "paused", "Away for a time"),
        ("pause", "Foaling.", "paused", "Foaling."),
        ("sold", "To friends.", "ended", "Sold or in a new home. To friends."),
        ("moved", "", "ended", "Moved to another yard or team"),
        ("died", "", "ended", "Died"),
        ("end", "As agreed.", "ended", "As agreed."),
    ],
)
def test_what_happened_decides_what_follows(
    cast: Cast, happening: str, words: str, state: str, reason: str
) -> None:
    response = Door(cast.owner, cast.case).post(
        "horse_state", happening=happening, words=words, sure="on", version="1"
    )
    assert response.status_code == 302
    assert state_of(cast) == (state, reason)
    assert last_line(cast.case, f"horse.{state}").after == {"state": state, "reason": reason}


def test_care_can_be_taken_up_again(cast: Cast, now: datetime) -> None:
    horse_set_state(access=cast.access(cast.owner), state="paused", reason="Away.", now=now)
    Door(cast.owner, cast.case).post("horse_state", happening="resumed", version="2")
    assert state_of(cast) == ("active", "")


def test_a_death_is_answered_kindly(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    asked = door.post("horse_state", happening="died", words="On Sunday.")
    assert asked.status_code == 422
    assert "Yes, Juniper has died" in text_of(asked)
    assert "On Sunday." in text_of(asked)
    assert state_of(cast) == ("active", "")
    door.post("horse_state", happening="died", sure="on", version="1")
    assert "We are sorry." in text_of(door.client.get("/me/"))


def test_only_what_can_follow_is_offered(cast: Cast, now: datetime) -> None:
    door = Door(cast.owner, cast.case)
    assert "Take up the care again" not in text_of(door.get("horse_state"))
    horse_set_state(access=cast.access(cast.owner), state="ended", reason="Sold.", now=now)
    page = text_of(door.get("horse_state"))
    assert "Take up the care again" in page
    assert "It has died" not in page


def test_a_state_that_cannot_be_says_why_and_keeps_the_words(cast: Cast) -> None:
    response = Door(cast.owner, cast.case).post("horse_state", words="Long story.")
    page = text_of(response)
    assert response.status_code == 422
    assert "Please choose what has happened." in page
    assert "Long story." in page
    assert state_of(cast) == ("active", "")


@pytest.mark.parametrize("who", ["vet", "farrier", "stand_in", "carer"])
def test_the_owner_alone_decides_it(cast: Cast, who: str) -> None:
    door = Door(cast.everyone[who], cast.case)
    assert door.get("horse_state").status_code == 403
    assert door.post("horse_state", happening="died").status_code == 403
    assert state_of(cast) == ("active", "")


# -- weight


def weigh(cast: Cast, who: str = "owner", **fields: Any) -> Any:
    given = {
        "weight": "512,5",
        "unit": "kg",
        "method": "tape",
        "weighed_on": "2026-11-01",
        "client_key": "one",
        **fields,
    }
    return Door(cast.everyone[who], cast.case).post("weight_new", **given)


@pytest.mark.parametrize("who", ["owner", "vet", "farrier", "stand_in"])
def test_a_weight_is_kept_as_it_was_entered(cast: Cast, who: str) -> None:
    assert weigh(cast, who, weight="1130 1/2", unit="lb").status_code == 302
    weight = HorseWeight.objects.get()
    assert (weight.entered_value, weight.entered_unit) == (Decimal("1130.5"), "lb")
    assert weight.weight_kg == Decimal("512.7862")
    assert (weight.method, weight.weighed_on) == ("tape", date(2026, 11, 1))
    assert last_line(cast.case, "horse.weighed").actor == cast.everyone[who]


def test_the_form_starts_in_the_persons_unit_with_the_last_weight_beside_it(cast: Cast) -> None:
    weigh(cast)
    cast.vet.weight_unit = "lb"
    cast.vet.save()
    page = text_of(Door(cast.vet, cast.case).get("weight_new"))
    assert "Last time: 512.5 kg, 1 Nov 2026" in page
    assert re.search(r'value="lb"[^>]*checked', page)
    assert 'value="2026-11-02"' in page


def test_the_same_weight_sent_twice_is_one(cast: Cast) -> None:
    weigh(cast)
    assert weigh(cast).status_code == 302
    assert HorseWeight.objects.count() == 1


def test_the_same_form_with_another_weight_is_asked_about(cast: Cast) -> None:
    weigh(cast)
    response = weigh(cast, weight="600")
    assert response.status_code == 409
    assert 'value="600"' in text_of(response)
    assert HorseWeight.objects.count() == 1


def test_a_weight_that_cannot_be_says_why_and_keeps_the_rest(cast: Cast) -> None:
    response = weigh(cast, weight="heavy", weighed_on="2026-10-05")
    page = text_of(response)
    assert response.status_code == 422
    assert "Could not read “heavy” as a weight." in page
    assert 'value="2026-10-05"' in page
    assert not HorseWeight.objects.exists()


def test_a_weight_before_the_birth_is_refused(cast: Cast) -> None:
    Horse.objects.filter(pk=cast.horse.pk).update(born_on=date(2026, 11, 2))
    assert "not born yet" in text_of(weigh(cast))


def test_a_carer_does_not_weigh(cast: Cast) -> None:
    assert Door(cast.carer, cast.case).get("weight_new").status_code == 403
    assert weigh(cast, "carer").status_code == 403


def test_a_closed_case_takes_no_weight(cast: Cast, now: datetime) -> None:
    shut(cast.case, now)
    assert weigh(cast).status_code == 403


# -- both


@pytest.mark.parametrize("page", ["horse_state", "weight_new"])
@pytest.mark.parametrize("who", ["stranger", "removed", "other_vet"])
def test_strangers_find_nothing_there(cast: Cast, page: str, who: str) -> None:
    assert Door(cast.everyone[who], cast.case).get(page).status_code == 404


@pytest.mark.parametrize("page", ["horse_edit", "horse_state", "weight_new"])
def test_pages_are_read_and_sent_in_no_other_way(cast: Cast, page: str) -> None:
    door = Door(cast.owner, cast.case)
    assert door.client.delete(door.address(page)).status_code == 405
