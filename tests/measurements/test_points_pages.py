"""The pages of points: placed, reckoned on the way, shown, written down; and what they never show."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.test import Client

from horses.models import Picture
from horses.services.exams import exam_record
from measurements.models import PicturePoints, Reading
from tests import build
from tests.cast import Cast
from tests.pictures import FILM_POINTS, SIDE_POINTS, WHOLE_POINTS, picture

pytestmark = pytest.mark.django_db


@pytest.fixture
def side(cast: Cast, now: datetime, clock_stands: Any) -> Picture:
    return picture(cast.access(cast.owner), now)


def sent(points: dict[str, tuple[float, float]] = SIDE_POINTS, **more: str) -> dict[str, str]:
    return {**{f"p-{name}": f"{x},{y}" for name, (x, y) in points.items()}, **more}


def page(cast: Cast, of: Picture, part: str = "") -> str:
    return f"/cases/{cast.case.public_id}/pictures/{of.public_id}/points/{part}"


def as_(person: Any) -> Client:
    client = Client()
    client.force_login(person)
    return client


def test_a_farrier_places_points_and_writes_the_values_down(cast: Cast, side: Picture) -> None:
    farrier = as_(cast.farrier)
    answer = farrier.post(page(cast, side), sent(shoe_then="on"), follow=True)
    assert answer.status_code == 200
    said = answer.content.decode()
    assert "photo with card" in said
    assert "toe length" in said
    assert "No real photographs of feet with a card were available to us" in said
    row = PicturePoints.objects.get()
    assert (row.card_corners is not None, row.shoe_then, row.blind) == (True, "on", True)

    shown = page(cast, side, f"{row.public_id}/")
    refused = farrier.post(shown, {"take": ["toe_angle", "toe_length"]})
    assert refused.status_code == 422
    kept = farrier.post(shown, {"take": ["toe_angle", "toe_length"], "trim_state": "between"})
    assert kept.status_code == 302
    assert set(Reading.objects.values_list("quantity", "method")) == {
        ("toe_angle", "photo_card"),
        ("toe_length", "photo_card"),
    }
    again = farrier.get(shown).content.decode()
    assert "Written down from this picture" in again


def test_the_editor_never_holds_the_points_of_its_own_picture(cast: Cast, side: Picture) -> None:
    as_(cast.farrier).post(page(cast, side), sent({**SIDE_POINTS, "toe_low": (517.3, 561.7)}))
    said = as_(cast.vet).get(page(cast, side)).content.decode()
    assert "517.3" not in said
    assert "561.7" not in said


def test_whoever_saw_the_points_of_somebody_else_places_none_blind(
    cast: Cast, side: Picture
) -> None:
    as_(cast.farrier).post(page(cast, side), sent())
    row = PicturePoints.objects.get()
    vet = as_(cast.vet)
    vet.get(page(cast, side, f"{row.public_id}/"))
    vet.post(page(cast, side), sent())
    as_(cast.owner).post(page(cast, side), sent())
    blind = dict(PicturePoints.objects.values_list("placed_by__name", "blind"))
    assert blind == {"Finn Farrier": True, "Vera Vet": False, "Ola Owner": True}


def history(cast: Cast) -> str:
    said = as_(cast.owner).get(f"/cases/{cast.case.public_id}/history/").content.decode()
    return " ".join(said.split())


def test_the_history_says_without_seeing_only_of_who_did_not_see(cast: Cast, side: Picture) -> None:
    as_(cast.farrier).post(page(cast, side), sent())
    as_(cast.farrier).post(page(cast, side), sent())
    assert "those of others" not in history(cast)
    vet, first = as_(cast.vet), PicturePoints.objects.earliest("pk")
    shown = vet.get(page(cast, side, f"{first.public_id}/"))
    assert "without seeing" not in shown.content.decode()
    vet.post(page(cast, side), sent())
    assert "after seeing those of others" in history(cast)
    assert "without seeing those" not in history(cast)
    as_(cast.owner).post(page(cast, side), sent())
    assert "without seeing those of others" in history(cast)


def test_who_has_seen_them_has_seen_them_on_every_phone(cast: Cast, side: Picture) -> None:
    as_(cast.farrier).post(page(cast, side), sent())
    first = PicturePoints.objects.get()
    one_phone = as_(cast.vet)
    one_phone.get(page(cast, side, f"{first.public_id}/"))
    one_phone.post(page(cast, side), sent())
    as_(cast.vet).post(page(cast, side), sent())
    vets = PicturePoints.objects.filter(placed_by=cast.vet)
    assert set(vets.values_list("blind", flat=True)) == {False}


@pytest.mark.parametrize(("who", "blind"), [("vet", False), ("farrier", True)])
def test_then_and_now_shows_the_ground_that_somebody_placed(
    cast: Cast, side: Picture, now: datetime, who: str, blind: bool
) -> None:
    earlier = picture(cast.access(cast.owner), now - timedelta(days=30))
    for one in (earlier, side):
        as_(cast.farrier).post(page(cast, one), sent())
    looks = as_(getattr(cast, who))
    both = looks.get(f"/cases/{cast.case.public_id}/then-and-now/?foot=LF&view=side")
    assert 'class="ground"' in both.content.decode()
    looks.post(page(cast, side), sent())
    assert PicturePoints.objects.latest("pk").blind is blind


def test_the_values_come_while_points_are_placed(cast: Cast, side: Picture) -> None:
    toe = {name: at for name, at in SIDE_POINTS.items() if not name.startswith("heel")}
    said = as_(cast.owner).get(page(cast, side, "values/"), sent(toe)).content.decode()
    assert "give or take" in said
    assert "points 5 and 6" in said
    nothing = as_(cast.owner).get(page(cast, side, "values/")).content.decode()
    assert "give or take" not in nothing


@pytest.mark.parametrize("text", ["", "1", "a,b", "nan,2", "1e9,4", "1,2,3", "\u202e1,2"])
def test_a_point_that_is_no_place_is_asked_for_again(text: str, cast: Cast, side: Picture) -> None:
    spoilt = sent() | {"p-toe_low": text}
    answer = as_(cast.owner).post(page(cast, side), spoilt)
    assert answer.status_code == 422
    assert "Still to be placed: toe wall" in answer.content.decode()
    assert 'value="400,700"' in answer.content.decode()  # the others are still there


@pytest.mark.parametrize("size", ["-1", "abc", "1e400", "0", "9999999999"])
def test_a_size_that_is_none_is_said_beside_its_field(size: str, cast: Cast, side: Picture) -> None:
    answer = as_(cast.owner).post(page(cast, side), sent(card_mm=size))
    assert answer.status_code == 422
    values = as_(cast.owner).get(page(cast, side, "values/"), sent(card_mm=size))
    assert values.status_code == 200
    assert "give or take" not in values.content.decode()


def test_a_square_printed_smaller_makes_lengths_smaller(cast: Cast, side: Picture) -> None:
    lengths = []
    for size in ("60", "54,5"):
        as_(cast.owner).post(page(cast, side), sent(card_mm=size))
        row = PicturePoints.objects.latest("pk")
        lengths.append(float(row.card_mm or 0))
    assert lengths == [60.0, 54.5]


def test_a_film_is_measured_in_mm_and_asks_for_the_marker(cast: Cast, now: datetime) -> None:
    film = picture(cast.access(cast.vet), now - timedelta(days=1), view="film_side")
    vet = as_(cast.vet)
    asked = vet.post(page(cast, film), sent(FILM_POINTS))
    assert asked.status_code == 422
    assert "How long is the marker" in asked.content.decode()
    said = vet.post(page(cast, film), sent(FILM_POINTS, marker_mm="50"), follow=True)
    words = said.content.decode()
    for value in ("palmar angle", "sole depth", "wall to bone, high", "bone steeper than wall"):
        assert value in words
    assert as_(cast.farrier).get(page(cast, film)).status_code == 403
    row = PicturePoints.objects.get()
    shown = page(cast, film, f"{row.public_id}/")
    vet.post(shown, {"take": ["palmar_angle", "sole_depth"], "trim_state": "between", "sure": "on"})
    assert set(Reading.objects.values_list("quantity", "method")) == {
        ("palmar_angle", "film"),
        ("sole_depth", "film"),
    }


def test_what_a_film_says_is_a_tap_from_its_examination(cast: Cast, now: datetime) -> None:
    vet = cast.access(cast.vet)
    exam = exam_record(access=vet, examined_at=now, feet=[], grade=None, words="Filmed.", now=now)
    film = picture(vet, now, view="film_side", of="exam", of_id=exam.public_id)
    as_(cast.vet).post(page(cast, film), sent(FILM_POINTS, marker_mm="50"))
    said = as_(cast.owner).get(f"/cases/{cast.case.public_id}/exams/{exam.public_id}/")
    row = PicturePoints.objects.get()
    assert page(cast, film, f"{row.public_id}/") in said.content.decode()


def test_a_whole_horse_is_told_as_coarse_beside_the_foots_own_angle(
    cast: Cast, now: datetime
) -> None:
    build.reading(cast.access(cast.farrier), now, "LF", "toe_angle", 52, now.date())
    whole = picture(cast.access(cast.owner), now, view="whole", foot="")
    said = as_(cast.owner).post(page(cast, whole), sent(WHOLE_POINTS), follow=True)
    words = said.content.decode()
    assert "no score and no judgement" in words
    assert "toe angle was last 52°" in words
    assert "Write the values down" not in words  # an observation, no reading of a foot


def test_two_people_hear_how_well_they_agree(cast: Cast, now: datetime) -> None:
    for day in range(3):
        side = picture(cast.access(cast.owner), now - timedelta(days=30 * (3 - day)))
        for number, who in enumerate((cast.farrier, cast.vet)):
            moved = {"toe_low": (517.5 + 2 * number + day, 560.0)}
            as_(who).post(page(cast, side), sent({**SIDE_POINTS, **moved}))
    row = PicturePoints.objects.filter(placed_by=cast.vet).latest("pk")
    words = as_(cast.vet).get(page(cast, row.picture, f"{row.public_id}/")).content.decode()
    assert "How well two people agree" in words
    assert "Vera Vet and Finn Farrier on 3 pictures" in words
    assert "ICC" in words


def test_what_is_to_say_of_several_values_alike_is_said_once(
    cast: Cast, side: Picture, now: datetime
) -> None:
    for who in (cast.farrier, cast.vet):
        as_(who).post(page(cast, side), sent(SIDE_POINTS))
    row = PicturePoints.objects.filter(placed_by=cast.vet).latest("pk")
    words = as_(cast.vet).get(page(cast, row.picture, f"{row.public_id}/")).content.decode()
    assert words.count("too few to say how well they agree") == 1
    assert "Toe angle, toe length" in words


def test_values_are_typed_beside_the_picture_without_scripts(cast: Cast, side: Picture) -> None:
    owner = as_(cast.owner)
    typed = page(cast, side, "typed/")
    assert "<img" in owner.get(typed).content.decode()
    kept = owner.post(typed, {"LF-toe_angle": "51", "trim_state": "between"})
    assert kept.status_code == 302
    reading = Reading.objects.get()
    assert (reading.method, reading.points, reading.taken_on) == ("photo", None, side.taken_on)
