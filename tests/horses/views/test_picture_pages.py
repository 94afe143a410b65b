"""The pages of pictures: added by themselves and with other things, listed, compared, kept from others."""

import io
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from horses.models import Exam, Note, Picture
from horses.services.exams import exam_record
from horses.services.notes import note_write
from horses.services.pictures import Shown, Taken, pictures_add
from measurements.models import PicturePoints
from tests import pictures
from tests.cast import Cast
from tests.horses.doors import Door, text_of
from tests.horses.views.test_photo_pages import jpeg, upload
from tests.lib.test_film_files import film
from tests.lib.test_film_files import sent as film_sent
from tests.stage import photo

pytestmark = pytest.mark.usefixtures("clock_stands")
TEAM = "owner,farrier,vet,carer"


def side(**more: Any) -> dict[str, Any]:
    return {
        "pictures": [upload()],
        "picture_view": "side",
        "picture_foot": "LF",
        "on": "2026-11-01",
        **more,
    }


def test_a_picture_by_itself_is_added_and_shown(cast: Cast) -> None:
    door = Door(cast.carer, cast.case)
    sent = door.post("picture_new", **side())
    picture = Picture.objects.get()
    assert sent["Location"].endswith(f"/pictures/{picture.public_id}/")
    assert (picture.foot, picture.view, str(picture.taken_on)) == ("LF", "side", "2026-11-01")
    page = text_of(door.get("picture", picture.public_id))
    assert "Left fore, from the side, Sun 1 Nov 2026" in page
    assert door.address("picture_small", picture.public_id) in text_of(door.get("pictures"))


def test_a_view_of_one_foot_asks_which_and_says_to_choose_the_file_again(cast: Cast) -> None:
    answer = Door(cast.owner, cast.case).post("picture_new", **side(picture_foot=""))
    page = text_of(answer)
    assert answer.status_code == 422
    assert "Choose the foot that it shows." in page
    assert "choose the photos again" in page
    assert not Picture.objects.exists()


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"pictures": []}, "Choose a picture first."),
        ({"on": "2026-11-09"}, "This day is still to come."),
        ({"on": ""}, "Please give the day."),
        ({"picture_view": "film_side"}, "Films are for the vet."),
        ({"picture_foot": "XX"}, "Choose from the four feet."),
        ({"pictures": [upload(b"<svg/>", "x.svg")]}, "cannot be read as a photo"),
        ({"pictures": [upload()] * 4}, "At most 3 photos"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(
    cast: Cast, more: dict[str, Any], said: str
) -> None:
    answer = Door(cast.owner, cast.case).post("picture_new", **side(**more))
    assert answer.status_code == 422
    assert said in text_of(answer)
    assert not Picture.objects.exists()


def test_films_are_offered_to_the_vet_only(cast: Cast) -> None:
    assert "Film from the side" in text_of(Door(cast.vet, cast.case).get("picture_new"))
    assert "Film from the side" not in text_of(Door(cast.farrier, cast.case).get("picture_new"))


def test_a_vet_sends_the_file_that_the_device_exported(cast: Cast) -> None:
    vet = Door(cast.vet, cast.case)
    assert ".dcm" in text_of(vet.get("picture_new"))
    assert ".dcm" not in text_of(Door(cast.owner, cast.case).get("picture_new"))
    answer = vet.post("picture_new", **side(pictures=[upload(film_sent(film()), "x.dcm")]))
    assert (answer.status_code, Picture.objects.count()) == (422, 0)
    assert "A DICOM file is a film" in text_of(answer)
    again = side(picture_view="film_side", pictures=[upload(film_sent(film()), "x.dcm")])
    assert vet.post("picture_new", **again).status_code == 302
    kept = Picture.objects.get()
    assert (kept.is_film, kept.width_px, kept.height_px) == (True, 100, 60)
    with kept.file.open() as drawn:
        assert b"CANARY" not in drawn.read()


def test_a_note_takes_a_picture_and_only_its_readers_see_it_anywhere(cast: Cast) -> None:
    vet = Door(cast.vet, cast.case)
    sent = vet.post(
        "note_new",
        body="Between us.",
        audience="farrier,vet",
        pictures=[upload()],
        picture_view="place",
    )
    assert sent.status_code == 302
    picture = Picture.objects.get()
    assert picture.note == Note.objects.get()
    farrier, owner = Door(cast.farrier, cast.case), Door(cast.owner, cast.case)
    assert farrier.get("picture_file", picture.public_id).status_code == 200
    for name in ("picture", "picture_file", "picture_small", "picture_blank"):
        assert owner.get(name, picture.public_id).status_code == 404
    for name in ("pictures", "board", "history", "then_and_now", "visits"):
        assert picture.public_id not in text_of(owner.get(name))
        assert "1 picture" not in text_of(owner.get(name))
    assert "1 picture with it" in text_of(farrier.get("board"))


def test_a_note_keeps_its_words_when_its_picture_is_refused(cast: Cast) -> None:
    answer = Door(cast.owner, cast.case).post(
        "note_new", body="My words.", audience=TEAM, pictures=[upload(b"no")]
    )
    page = text_of(answer)
    assert answer.status_code == 422
    assert "My words." in page
    assert "cannot be read as a photo" in page
    assert not Note.objects.exists()


def test_too_many_forms_with_pictures_keep_the_words(cast: Cast, settings: Any) -> None:
    settings.LIMIT_PHOTO_FORMS = 0
    answer = Door(cast.owner, cast.case).post(
        "note_new", body="My words.", audience=TEAM, pictures=[upload()]
    )
    assert answer.status_code == 429
    assert "Retry-After" in answer
    assert "My words." in text_of(answer)


def test_an_examination_takes_a_film(cast: Cast) -> None:
    door = Door(cast.vet, cast.case)
    door.post(
        "exam_new",
        on="2026-11-01",
        words="First films.",
        pictures=[upload()],
        picture_view="film_side",
        picture_foot="LF",
    )
    picture, exam = Picture.objects.get(), Exam.objects.get()
    assert (picture.exam, picture.view, str(picture.taken_on)) == (exam, "film_side", "2026-11-01")
    assert door.address("picture_small", picture.public_id) in text_of(
        door.get("exam", exam.public_id)
    )


def test_taking_back_says_that_what_was_measured_on_its_pictures_stands(
    cast: Cast, now: datetime
) -> None:
    vet = cast.access(cast.vet)
    exam = exam_record(access=vet, examined_at=now, feet=[], grade=None, words="Filmed.", now=now)
    door = Door(cast.vet, cast.case)
    assert "stay, and so do the warnings" not in text_of(door.get("exam_void", exam.public_id))
    film = pictures.picture(vet, now, view="film_side", of="exam", of_id=exam.public_id)
    assert "stay, and so do the warnings" in text_of(door.get("exam_void", exam.public_id))
    door.post("exam_void", exam.public_id, reason="The other mare.")
    page = " ".join(text_of(door.get("picture", film.public_id)).split())
    assert "it may show another horse. Values written down from it stand" in page


def test_a_small_one_is_small(cast: Cast) -> None:
    out = io.BytesIO()
    Image.new("RGB", (1600, 800), "red").save(out, format="JPEG")
    door = Door(cast.owner, cast.case)
    door.post("picture_new", **side(pictures=[SimpleUploadedFile("a.jpg", out.getvalue())]))
    answer = door.get("picture_small", Picture.objects.get().public_id)
    small = Image.open(io.BytesIO(b"".join(answer.streaming_content)))  # type: ignore[attr-defined]
    assert small.size == (320, 160)


def test_a_form_sent_twice_adds_one(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    for _ in range(2):
        door.post("picture_new", **side(client_key="k"))
    assert Picture.objects.count() == 1


# -- then and now


def two(cast: Cast, now: datetime) -> list[Picture]:
    access = cast.access(cast.owner)
    return [
        pictures_add(
            access=access,
            taken=Taken(
                [photo(jpeg(colour))], Shown("side", "LF", (now - timedelta(days=back)).date())
            ),
            now=now,
        )[0]
        for back, colour in ((400, "red"), (5, "blue"))
    ]


def points(cast: Cast, picture: Picture, now: datetime, **more: Any) -> None:
    PicturePoints.objects.create(
        picture=picture,
        view="side",
        placed_by=cast.owner,
        placed_by_name="Ola Owner",
        placed_role="owner",
        placed_at=now,
        points={"ground_toe": [100, 400], "ground_heel": [500, 400]},
        **more,
    )


def test_a_picture_without_another_of_the_same_leads_to_no_comparison(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    for view, way in (("front", False), ("side", False), ("side", True)):
        door.post("picture_new", **side(picture_view=view))
        page = text_of(door.get("picture", Picture.objects.latest("pk").public_id))
        assert ("Then and now" in page) is way


def then_and_now(cast: Cast) -> str:
    door = Door(cast.owner, cast.case)
    return text_of(door.client.get(door.address("then_and_now") + "?foot=LF&view=side"))


def test_one_picture_is_nothing_to_compare(cast: Cast, now: datetime) -> None:
    assert "needs two pictures" in then_and_now(cast)


def test_without_points_it_says_that_the_scale_may_differ(cast: Cast, now: datetime) -> None:
    two(cast, now)
    page = then_and_now(cast)
    assert "Not brought to the same scale" in page
    assert "to the same ground line" not in page


def test_with_points_on_both_it_says_what_was_brought_together(cast: Cast, now: datetime) -> None:
    for picture in two(cast, now):
        points(cast, picture, now)
    page = then_and_now(cast)
    assert "to the same length on the ground" in page
    assert "Not brought to the same scale" not in page


def test_with_a_card_on_both_the_scale_is_the_cards(cast: Cast, now: datetime) -> None:
    corners = [[0, 0], [200, 0], [200, 200], [0, 200]]
    for picture in two(cast, now):
        points(cast, picture, now, card_corners=corners, card_mm=60)
    assert "to the same scale by the card on both" in then_and_now(cast)


def test_a_picture_of_a_note_for_others_is_not_compared(cast: Cast, now: datetime) -> None:
    two(cast, now)
    note_write(
        access=cast.access(cast.vet),
        body="Between us.",
        audience=frozenset({"vet", "farrier"}),
        taken=Taken([photo(jpeg("green"))], Shown("side", "LF")),
        now=now,
    )
    hidden = Picture.objects.exclude(note=None).get()
    assert hidden.public_id not in then_and_now(cast)
