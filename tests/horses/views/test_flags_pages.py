"""Saying that something is not right, and the page of a flag (its answers: test_flag_answers.py)."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile

from horses.models import Flag, IdempotencyKey
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, shut, text_of, told, verbs

pytestmark = pytest.mark.usefixtures("clock_stands")


# -- raising one


def test_urgent_signs_stand_first_with_the_number_to_ring(cast: Cast) -> None:
    page = text_of(Door(cast.owner, cast.case).get("flag_new"))
    assert page.index("Any of these: phone your vet now") < page.index("Short stride")
    assert page.index('href="tel:0100999"') < page.index("Nail, wire or other sharp thing")


def test_the_form_says_who_will_read_it(cast: Cast) -> None:
    page = text_of(Door(cast.owner, cast.case).get("flag_new"))
    assert "Vera Vet (vet)" in page
    assert "Ola Owner (owner)" not in page  # that is who writes


def test_a_flag_is_written_down_with_all_that_was_said(cast: Cast, now: datetime) -> None:
    response = Door(cast.owner, cast.case).post(
        "flag_new",
        signs=["heat", "pulse"],
        feet=["LF"],
        since="yesterday",
        words="Warm.",
        client_key="one",
    )
    flag = Flag.objects.get()
    assert response.status_code == 302
    assert response["Location"] == f"/cases/{cast.case.public_id}/"
    assert (flag.signs, flag.feet, flag.words) == (["heat", "pulse"], ["LF"], "Warm.")
    assert flag.since_on == now.date() - timedelta(days=1)
    assert flag.urgency == "today"


def test_a_flag_is_in_the_history_and_everyone_else_is_told(cast: Cast) -> None:
    Door(cast.owner, cast.case).post("flag_new", signs=["heat"], feet=["LF"])
    assert "flag.raised" in verbs(cast.case)
    names = told(cast.case, "flag.raised")
    assert names == {"Vera Vet", "Finn Farrier", "Stina Standin", "Cara Carer"}


def test_an_urgent_sign_is_answered_at_once_with_the_number_and_advice(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    response = door.post("flag_new", urgent_signs=["in_sole"], feet=["RH"])
    flag = Flag.objects.get()
    assert response["Location"] == door.address("flag", flag.public_id)
    page = text_of(door.client.get(response["Location"]))
    assert "Call your vet now" in page
    assert 'href="tel:0100999"' in page  # the horse's emergency vet
    assert 'href="tel:0100200302"' in page  # the vet on the team
    assert "Do not pull it out." in page
    assert "This does not reach your vet by itself: phone." in page
    assert "I have phoned: write down what the vet said" in page


def test_signs_that_are_urgent_together_are_urgent(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    response = door.post("flag_new", signs=["heat", "pulse", "reluctant_turn"])
    assert "Call your vet now" in text_of(door.client.get(response["Location"]))


def test_without_any_number_the_page_still_says_whom_to_ring(cast: Cast) -> None:
    cast.horse.emergency_vet_phone = cast.vet.phone = ""
    cast.horse.save()
    cast.vet.save()
    page = text_of(Door(cast.owner, cast.case).get("flag_new"))
    assert "Ring the practice you use" in page


def test_a_carer_may_flag(cast: Cast) -> None:
    assert Door(cast.carer, cast.case).post("flag_new", signs=["lame"]).status_code == 302


def test_only_words_are_enough(cast: Cast) -> None:
    Door(cast.owner, cast.case).post("flag_new", words="Odd.")
    assert Flag.objects.get().signs == ["other"]


def test_not_sure_which_foot_is_kept_as_no_foot(cast: Cast) -> None:
    Door(cast.owner, cast.case).post("flag_new", signs=["lame"], feet=["unsure"])
    assert Flag.objects.get().feet == []


def test_a_day_counts_without_ticking_another_day(cast: Cast) -> None:
    Door(cast.owner, cast.case).post("flag_new", signs=["lame"], since_day="2026-10-30")
    assert Flag.objects.get().since_on == date(2026, 10, 30)


def test_an_empty_form_comes_back_and_says_what_is_missing(cast: Cast) -> None:
    response = Door(cast.owner, cast.case).post("flag_new")
    assert response.status_code == 422
    assert "Tick at least one sign" in text_of(response)
    assert not Flag.objects.exists()


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"since_day": "2026-11-03", "since": "day"}, "still to come"),
        ({"since_day": "0001-01-01"}, "very long ago"),
        ({"since_day": "9999-12-31"}, "still to come"),
        ({"since_day": "soon"}, "not a day"),
        ({"since_day": "\x00"}, "not a day"),
        ({"since": "day"}, "Choose the day"),
        ({"since": "later"}, "Choose today, yesterday"),
        ({"signs": ["glowing"]}, "not on it"),
        ({"urgent_signs": ["heat"]}, "not on it"),
        ({"feet": ["LF", "tail"]}, "four feet"),
        ({"words": "x" * 5001}, "5,001 characters"),
        ({"client_key": "k" * 65}, "64 characters"),
    ],
)
def test_what_cannot_be_read_is_said_beside_the_field_and_nothing_is_lost(
    cast: Cast, fields: dict[str, object], words: str
) -> None:
    sent: dict[str, Any] = {"signs": ["heat"], "words": "My own words", **fields}
    response = Door(cast.owner, cast.case).post("flag_new", **sent)
    page = text_of(response)
    assert response.status_code == 422
    assert words in page
    assert str(sent["words"]) in page
    assert not Flag.objects.exists()


def test_a_form_that_is_not_accepted_still_says_call_now_for_an_urgent_sign(cast: Cast) -> None:
    response = Door(cast.owner, cast.case).post(
        "flag_new", urgent_signs=["no_weight"], since_day="soon"
    )
    page = text_of(response)
    assert response.status_code == 422
    assert '<section class="call-now" data-call-now>' in page
    assert '<li data-for="no_weight">Do not make the horse walk.</li>' in page
    assert '<li data-for="in_sole" hidden>' in page


def test_control_characters_are_left_out_of_the_words(cast: Cast) -> None:
    Door(cast.owner, cast.case).post("flag_new", words="Warm\x00 \u202ehoof")
    assert Flag.objects.get().words == "Warm hoof"


def test_the_same_form_sent_twice_is_one_flag(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    for _ in range(2):
        door.post("flag_new", signs=["heat"], words="Once.", client_key="again")
    assert Flag.objects.count() == 1


def test_the_same_key_with_other_words_comes_back_with_what_was_typed(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    door.post("flag_new", signs=["heat"], words="First.", client_key="same")
    response = door.post("flag_new", signs=["heat"], words="Second.", client_key="same")
    page = text_of(response)
    assert response.status_code == 409
    assert "Second." in page
    assert 'value="same"' not in page  # sent once more it is a form of its own
    assert Flag.objects.count() == 1


def test_a_stranger_learns_nothing(cast: Cast, flag: Flag) -> None:
    door = Door(cast.stranger, cast.case)
    assert door.get("flag_new").status_code == 404
    assert door.post("flag_new", signs=["heat"]).status_code == 404
    assert door.get("flag", flag.public_id).status_code == 404
    assert door.post("flag", flag.public_id, words="Hello").status_code == 404


def test_a_removed_member_gets_404(cast: Cast, flag: Flag) -> None:
    assert Door(cast.removed, cast.case).get("flag", flag.public_id).status_code == 404


def test_nobody_signed_in_is_sent_to_sign_in(cast: Cast) -> None:
    response = Door(None, cast.case).get("flag_new")
    assert response.status_code == 302
    assert "login" in response["Location"]


def test_other_methods_are_refused(cast: Cast, flag: Flag) -> None:
    door = Door(cast.owner, cast.case)
    assert door.client.put(door.address("flag_new")).status_code == 405
    assert door.client.delete(door.address("flag", flag.public_id)).status_code == 405


def test_a_closed_case_takes_no_flag_and_shows_no_forms(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.owner, cast.concern)
    flag = build.flag(access, now, "heat")
    shut(cast.concern, now)
    door = Door(cast.owner, cast.concern)
    assert door.get("flag_new").status_code == 403
    assert "<textarea" not in text_of(door.get("flag", flag.public_id))
    assert door.post("flag", flag.public_id, kind="answered", words="x").status_code == 403


# -- the page of one flag


def test_the_page_shows_what_was_said_in_words(cast: Cast, flag: Flag) -> None:
    page = text_of(Door(cast.vet, cast.case).get("flag", flag.public_id))
    assert "One foot warmer than the others" in page
    assert "Left fore" in page
    assert "Warm since yesterday." in page
    assert "Ola Owner" in page
    assert "Today" in page


def test_the_feet_are_named_in_the_words_the_person_chose(cast: Cast, flag: Flag) -> None:
    cast.vet.side_words = "near_off"
    cast.vet.save()
    assert "Near fore" in text_of(Door(cast.vet, cast.case).get("flag", flag.public_id))


def test_the_page_says_that_it_is_open_and_who_closes_it(cast: Cast, flag: Flag) -> None:
    page = text_of(Door(cast.owner, cast.case).get("flag", flag.public_id))
    assert "Still open. An answer from the farrier or vet that the owner reads closes it." in page


def test_an_urgent_one_is_closed_only_by_a_vet_or_the_phone_call(cast: Cast, urgent: Flag) -> None:
    page = text_of(Door(cast.farrier, cast.case).get("flag", urgent.public_id))
    assert "Only a vet&#x27;s answer closes it" in page
    assert "Call your vet now" in page


def test_the_vet_is_not_told_to_call_a_vet(cast: Cast, urgent: Flag) -> None:
    assert 'class="call"' not in text_of(Door(cast.vet, cast.case).get("flag", urgent.public_id))


def test_a_flag_of_another_case_is_not_found(cast: Cast, flag: Flag) -> None:
    assert Door(cast.owner, cast.concern).get("flag", flag.public_id).status_code == 404


def test_an_unknown_flag_is_not_found(cast: Cast) -> None:
    assert Door(cast.owner, cast.case).get("flag", "nosuchflag").status_code == 404


# -- photos, as the form takes them (the pages of a photo: test_photo_pages.py)


def test_too_many_forms_with_photos_keep_the_words_and_say_to_send_without(
    cast: Cast, now: datetime, settings: Any
) -> None:
    settings.LIMIT_PHOTO_FORMS = 0
    cache.clear()
    file = SimpleUploadedFile("a.jpg", b"x")
    response = Door(cast.owner, cast.case).post(
        "flag_new", signs=["heat"], words="Kept words", photos=file
    )
    page = text_of(response)
    assert response.status_code == 429
    assert int(response["Retry-After"]) > 0
    assert "Kept words" in page
    assert "without photos now" in page
    assert not IdempotencyKey.objects.exists()
