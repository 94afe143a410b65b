"""Measurements without a visit, and the correction of one's own."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.http import HttpResponse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from horses.models import Picture, Trim
from horses.services.visits import WorkDone
from measurements.models import Reading
from measurements.services.readings import reading_correct
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, shut, text_of, verbs
from tests.horses.views.test_photo_pages import upload

pytestmark = pytest.mark.usefixtures("clock_stands")


def send(cast: Cast, who: str = "owner", **fields: Any) -> HttpResponse:
    methods = {"owner": ("owner", "owner"), "vet": ("radiograph", "radiograph")}
    angle, length = methods.get(who, ("gauge", "tape"))
    sent = {
        "taken_on": "2026-11-01",
        "trim_state": "between",
        "angle_method": angle,
        "length_method": length,
        **fields,
    }
    return Door(getattr(cast, who), cast.case).post("readings_new", **sent)


def test_an_owner_records_a_value_of_their_own_measuring(cast: Cast) -> None:
    assert send(cast, **{"LF-toe_angle": "50,5"}).status_code == 302
    reading = Reading.objects.get()
    assert (reading.value, reading.method, reading.trim_state) == (
        Decimal("50.5"),
        "owner",
        "between",
    )
    assert reading.taken_by == cast.owner
    assert "readings.recorded" in verbs(cast.case)


def test_the_vet_reads_from_a_radiograph(cast: Cast) -> None:
    send(cast, "vet", **{"LF-palmar_angle": "-1.5", "LF-sole_depth": "14 mm"})
    assert {r.method for r in Reading.objects.all()} == {"radiograph"}
    assert {r.value for r in Reading.objects.all()} == {Decimal("-1.5"), Decimal(14)}


def test_what_only_a_radiograph_shows_is_taken_as_measured_on_one(cast: Cast) -> None:
    send(cast, "farrier", **{"LF-palmar_angle": "4"})
    assert Reading.objects.get().method == "radiograph"


def test_between_visits_there_is_no_trim(cast: Cast) -> None:
    send(cast, **{"LF-toe_angle": "50"})
    assert not Trim.objects.exists()


def test_a_value_after_a_trim_dates_the_trim(cast: Cast) -> None:
    send(cast, "farrier", trim_state="after", **{"LF-toe_angle": "50"})
    assert Trim.objects.get().trimmed_on == date(2026, 11, 1)


def test_a_reading_carries_how_the_foot_was_shod(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, date(2026, 9, 1))
    send(cast, **{"LF-toe_angle": "50"})
    assert Reading.objects.get().shoeing == "shod"


@pytest.mark.parametrize(("state", "shod"), [("before", "shod"), ("after", "barefoot")])
def test_on_the_day_the_shoe_came_off_a_reading_after_the_trim_is_barefoot(
    state: str, shod: str, cast: Cast, now: datetime
) -> None:
    farrier = cast.access(cast.farrier)
    build.visit(farrier, now, date(2026, 9, 1))
    off = [WorkDone(foot="LF", trimmed=True, shoeing_left="barefoot", shoe="pulled")]
    build.visit(farrier, now, date(2026, 11, 1), work=off)
    send(cast, "farrier", trim_state=state, **{"LF-toe_angle": "50"})
    assert Reading.objects.get().shoeing == shod


def test_how_it_is_shod_is_asked_only_while_nothing_is_known(cast: Cast, now: datetime) -> None:
    assert 'name="shoeing"' in text_of(Door(cast.owner, cast.case).get("readings_new"))
    build.visit(cast.access(cast.farrier), now, date(2026, 9, 1))
    assert 'name="shoeing"' not in text_of(Door(cast.owner, cast.case).get("readings_new"))


def test_the_owner_may_say_how_it_is_shod(cast: Cast) -> None:
    send(cast, shoeing="barefoot", **{"LF-toe_angle": "50"})
    assert Reading.objects.get().shoeing == "barefoot"


@pytest.mark.parametrize("who", ["owner", "vet", "farrier", "stand_in"])
def test_the_three_roles_may_measure(cast: Cast, who: str) -> None:
    assert Door(getattr(cast, who), cast.case).get("readings_new").status_code == 200
    assert send(cast, who, **{"LF-toe_angle": "50"}).status_code == 302


def test_a_carer_may_not(cast: Cast) -> None:
    assert Door(cast.carer, cast.case).get("readings_new").status_code == 403
    assert send(cast, "carer", **{"LF-toe_angle": "50"}).status_code == 403


def test_a_stranger_gets_404(cast: Cast) -> None:
    assert Door(cast.stranger, cast.case).get("readings_new").status_code == 404
    assert send(cast, "stranger", **{"LF-toe_angle": "50"}).status_code == 404


def test_a_closed_case_takes_no_values(cast: Cast, now: datetime) -> None:
    shut(cast.case, now)
    assert send(cast, **{"LF-toe_angle": "50"}).status_code == 403


def test_another_way_of_sending_gets_405(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    assert door.client.delete(door.address("readings_new")).status_code == 405


def test_an_empty_form_is_answered_kindly(cast: Cast) -> None:
    answer = send(cast)
    assert answer.status_code == 422
    assert "Write down at least one value." in text_of(answer)


def test_a_wrong_value_keeps_the_others(cast: Cast) -> None:
    answer = send(cast, **{"LF-toe_angle": "fifty", "RF-toe_angle": "51.5"})
    page = text_of(answer)
    assert answer.status_code == 422
    assert "Could not read “fifty” as a number" in page
    assert 'value="51.5"' in page
    assert not Reading.objects.exists()


def test_a_wrong_value_behind_more_opens_it(cast: Cast) -> None:
    page = text_of(send(cast, **{"LF-frog_width": "wide"}))
    assert '<details class="more" open><summary>More to measure on the left fore' in page


def test_an_unusual_value_is_taken_when_measured_again(cast: Cast) -> None:
    assert send(cast, **{"LF-toe_angle": "70"}).status_code == 422
    send(cast, **{"LF-toe_angle": "70", "LF-toe_angle-sure": "on"})
    assert Reading.objects.get().confirmed_odd


def test_the_same_form_twice_is_one_reading(cast: Cast) -> None:
    for _ in range(3):
        send(cast, client_key="k", **{"LF-toe_angle": "50"})
    assert Reading.objects.count() == 1


def test_the_same_key_with_another_value_answers_409(cast: Cast) -> None:
    send(cast, client_key="k", **{"LF-toe_angle": "50"})
    answer = send(cast, client_key="k", **{"LF-toe_angle": "51"})
    assert answer.status_code == 409
    assert 'value="51"' in text_of(answer)


@pytest.mark.parametrize("field", ["taken_on", "trim_state", "angle_method", "length_method"])
@pytest.mark.parametrize("value", ["", "nonsense", "a\x00b", "x" * 3000])
def test_a_field_that_makes_no_sense_is_never_an_error_of_ours(
    cast: Cast, field: str, value: str
) -> None:
    assert send(cast, **{"LF-toe_angle": "50", field: value}).status_code == 422


VALUES = st.one_of(
    st.sampled_from(["NaN", "1e9", "5²", "-0", "1/0", "½", "3 1/4 in", "0001-01-01", "\x00"]),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=50),
)
NAMES = st.sampled_from(
    [
        "taken_on",
        "trim_state",
        "angle_method",
        "shoeing",
        "LF-toe_angle",
        "LF-toe_angle-sure",
        "RH-toe_length",
        "LH-palmar_angle",
        "client_key",
    ]
)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(sent=st.dictionaries(NAMES, VALUES))
def test_no_form_breaks_the_page(cast: Cast, sent: dict[str, str]) -> None:
    assert send(cast, **sent).status_code in (302, 409, 422)


# -- correcting


def taken(cast: Cast, now: datetime, value: str = "59.5", who: str = "farrier") -> Reading:
    access = cast.access(getattr(cast, who))
    return build.reading(access, now, "LF", "toe_angle", value, date(2026, 10, 1))


def correct(cast: Cast, reading: Reading, who: str = "farrier", **fields: Any) -> HttpResponse:
    sent = {
        "what": "value",
        "LF-toe_angle": "49.5",
        "method": "gauge",
        "trim_state": "after",
        "reason": "Misread the gauge.",
        **fields,
    }
    door = Door(getattr(cast, who), cast.case)
    return door.post("reading_correct", reading.public_id, **sent)


def test_a_reading_gets_another_value_and_the_old_one_stays(cast: Cast, now: datetime) -> None:
    old = taken(cast, now)
    answer = correct(cast, old)
    assert answer.status_code == 302
    new = Reading.objects.get(corrects=old)
    assert (new.value, new.correction_reason) == (Decimal("49.5"), "Misread the gauge.")
    assert Reading.objects.get(pk=old.pk).value == Decimal("59.5")
    assert "reading.corrected" in verbs(cast.case)


def test_a_reading_of_the_wrong_foot_is_taken_off(cast: Cast, now: datetime) -> None:
    old = taken(cast, now)
    correct(cast, old, what="off", **{"LF-toe_angle": "", "reason": "It was the right fore."})
    assert Reading.objects.get(corrects=old).is_void


def test_a_nonsense_value_does_not_stand_in_the_way_of_taking_it_off(
    cast: Cast, now: datetime
) -> None:
    old = taken(cast, now)
    assert correct(cast, old, what="off", **{"LF-toe_angle": "xx"}).status_code == 302


def test_a_correction_needs_a_reason(cast: Cast, now: datetime) -> None:
    answer = correct(cast, taken(cast, now), reason="  ")
    assert answer.status_code == 422
    assert "Say why it is corrected." in text_of(answer)


def test_a_correction_needs_a_value(cast: Cast, now: datetime) -> None:
    assert correct(cast, taken(cast, now), **{"LF-toe_angle": ""}).status_code == 422


def test_the_same_value_again_corrects_nothing(cast: Cast, now: datetime) -> None:
    answer = correct(cast, taken(cast, now), **{"LF-toe_angle": "59.5"})
    assert answer.status_code == 422
    assert "nothing would be corrected" in text_of(answer)


def test_an_untouched_field_keeps_the_value_to_the_last_digit(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.owner)
    old = build.reading(access, now, "LF", "toe_length", "82.55", date(2026, 10, 1))
    page = text_of(Door(cast.owner, cast.case).get("reading_correct", old.public_id))
    assert 'value="82.55 mm"' in page


def test_an_unusual_correction_asks_for_a_second_look(cast: Cast, now: datetime) -> None:
    old = taken(cast, now)
    answer = correct(cast, old, **{"LF-toe_angle": "70"})
    assert answer.status_code == 422
    assert 'name="LF-toe_angle-sure"' in text_of(answer)
    again = correct(cast, old, **{"LF-toe_angle": "70", "LF-toe_angle-sure": "on"})
    assert again.status_code == 302


@pytest.mark.parametrize("who", ["owner", "vet", "carer"])
def test_nobody_else_corrects_it(cast: Cast, now: datetime, who: str) -> None:
    old = taken(cast, now)
    door = Door(getattr(cast, who), cast.case)
    assert door.get("reading_correct", old.public_id).status_code == 403
    assert correct(cast, old, who).status_code == 403


@pytest.mark.parametrize("who", ["stranger", "removed", "other_farrier"])
def test_for_a_stranger_it_does_not_exist(cast: Cast, now: datetime, who: str) -> None:
    old = taken(cast, now)
    door = Door(getattr(cast, who), cast.case)
    assert door.get("reading_correct", old.public_id).status_code == 404


def test_a_reading_of_another_horse_does_not_exist_here(cast: Cast, now: datetime) -> None:
    other = cast.access(cast.other_farrier, cast.other_case)
    old = build.reading(other, now, "LF", "toe_angle", "50", date(2026, 10, 1))
    assert Door(cast.farrier, cast.case).get("reading_correct", old.public_id).status_code == 404


def test_a_second_correction_shows_both_and_keeps_what_was_typed(cast: Cast, now: datetime) -> None:
    old = taken(cast, now)
    first = reading_correct(
        access=cast.access(cast.farrier),
        reading_id=old.public_id,
        taken=build.taken("LF", "toe_angle", "48"),
        reason="First.",
        now=now,
    )
    answer = correct(cast, old)
    page = text_of(answer)
    assert answer.status_code == 409
    assert "48" in page
    assert 'value="49.5"' in page
    assert "Misread the gauge." in page
    assert first.public_id in page  # sending it again corrects the one that stands


def test_the_page_of_a_corrected_reading_leads_to_the_one_that_stands(
    cast: Cast, now: datetime
) -> None:
    old = taken(cast, now)
    correct(cast, old)
    answer = Door(cast.farrier, cast.case).get("reading_correct", old.public_id)
    assert answer.status_code == 302
    assert Reading.objects.get(corrects=old).public_id in answer["Location"]


# -- with a picture


def with_picture(**fields: Any) -> dict[str, Any]:
    sent = {"LF-toe_angle": "50", "picture_view": "side", "picture_foot": "LF", **fields}
    return {"pictures": [upload()], **sent}


def test_a_picture_is_taken_with_the_readings_of_its_day(cast: Cast) -> None:
    assert send(cast, **with_picture(client_key="k")).status_code == 302
    assert send(cast, **with_picture(client_key="k")).status_code == 302  # sent twice
    picture, reading = Picture.objects.get(), Reading.objects.get()
    assert (picture.foot, picture.view, picture.thing_kind) == ("LF", "side", "")
    assert picture.taken_on == reading.taken_on == date(2026, 11, 1)
    assert [v for v in verbs(cast.case) if v in ("readings.recorded", "picture.added")] == [
        "readings.recorded",
        "picture.added",
    ]


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"LF-toe_angle": "5000"}, "5000"),
        ({"LF-toe_angle": ""}, "Write down at least one value."),
        ({"picture_foot": ""}, "Choose the foot that it shows."),
        ({"picture_view": "film_side"}, "Films are for the vet."),
    ],
)
def test_where_something_is_wrong_neither_is_kept_and_the_picture_is_asked_for_again(
    cast: Cast, fields: dict[str, str], said: str
) -> None:
    answer = send(cast, **with_picture(**fields))
    page = text_of(answer)
    assert answer.status_code == 422
    assert said in page
    assert "choose the photos again" in page
    assert not Picture.objects.exists()
    assert not Reading.objects.exists()
