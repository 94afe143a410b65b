"""Photos with a flag: kept as we drew them, shown to the team only, blanked out for good."""

import io
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from PIL import Image

from caseboard.lib.photo import photo_read
from horses.models import Flag, Picture
from horses.services.deed import DeedRefused
from horses.services.photos import flag_raise_with_photos
from tests.cast import Cast
from tests.horses.doors import Door, last_line, shut, text_of, told, verbs

pytestmark = pytest.mark.usefixtures("clock_stands")


def jpeg(colour: str = "red") -> bytes:
    out = io.BytesIO()
    exif = Image.Exif()
    exif[0x010F] = "CANARY-MAKER"
    Image.new("RGB", (64, 48), colour).save(out, format="JPEG", exif=exif)
    return out.getvalue()


def upload(data: bytes | None = None, name: str = "hoof.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, jpeg() if data is None else data, content_type="image/jpeg")


@pytest.fixture
def photo(cast: Cast) -> Picture:
    Door(cast.owner, cast.case).post("flag_new", signs=["heat"], photos=[upload()])
    return Picture.objects.get()


def flag_of(photo: Picture) -> Flag:
    assert photo.flag is not None
    return photo.flag


def on_disk(photo_name: str) -> Path:
    return Path(settings.MEDIA_ROOT) / photo_name


def test_up_to_three_photos_come_with_a_flag(cast: Cast) -> None:
    files = [upload(jpeg(colour)) for colour in ("red", "green", "blue")]
    Door(cast.owner, cast.case).post("flag_new", signs=["crack"], photos=files)
    assert Flag.objects.get().pictures.count() == 3
    after = last_line(cast.case, "flag.photo_added").after
    assert after is not None
    assert len(after["sha256"]) == 3


def test_what_is_kept_is_our_own_jpeg_under_our_own_name(photo: Picture) -> None:
    kept = on_disk(str(photo.file.name)).read_bytes()
    assert b"CANARY" not in kept
    assert "hoof" not in str(photo.file.name)
    assert (photo.width_px, photo.height_px) == (64, 48)


def test_a_fourth_photo_is_refused_in_words(cast: Cast) -> None:
    files = [upload() for _ in range(4)]
    response = Door(cast.owner, cast.case).post("flag_new", signs=["crack"], photos=files)
    assert response.status_code == 422
    assert "At most 3 photos" in text_of(response)
    assert not Flag.objects.exists()


def test_a_file_that_is_no_photo_says_which_and_keeps_the_words(cast: Cast) -> None:
    response = Door(cast.owner, cast.case).post(
        "flag_new", words="My words", photos=[upload(), upload(b"<svg/>", "<b>drawing.jpg")]
    )
    page = text_of(response)
    assert response.status_code == 422
    assert "drawing.jpg: This file cannot be read as a photo." in page
    assert "<b>drawing" not in page
    assert "My words" in page
    assert "choose the photos again" in page


def test_good_photos_must_be_chosen_again_after_another_error(cast: Cast) -> None:
    response = Door(cast.owner, cast.case).post(
        "flag_new", signs=["heat"], since_day="soon", photos=[upload()]
    )
    assert "choose the photos again" in text_of(response)


def test_text_in_place_of_a_file_is_no_photo(cast: Cast) -> None:
    response = Door(cast.owner, cast.case).post("flag_new", signs=["heat"], photos="not a file")
    assert response.status_code == 302
    assert not Picture.objects.exists()


def test_the_same_form_with_its_photo_sent_twice_is_one_flag(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    for _ in range(2):
        door.post("flag_new", signs=["heat"], photos=[upload()], client_key="k")
    assert (Flag.objects.count(), Picture.objects.count()) == (1, 1)


def test_the_same_key_with_another_photo_is_another_form(cast: Cast) -> None:
    door = Door(cast.owner, cast.case)
    door.post("flag_new", signs=["heat"], photos=[upload()], client_key="k")
    other = [upload(jpeg("blue"))]
    response = door.post("flag_new", signs=["heat"], photos=other, client_key="k")
    assert response.status_code == 409


def test_the_service_refuses_a_fourth_photo_too(cast: Cast, now: datetime) -> None:
    data = jpeg()
    photos = [photo_read(io.BytesIO(data), size_bytes=len(data))] * 4
    with pytest.raises(DeedRefused, match="At most 3 photos"):
        flag_raise_with_photos(
            access=cast.access(cast.owner),
            signs=["heat"],
            feet=[],
            since_on=None,
            words="",
            photos=photos,
            now=now,
        )


# -- seeing one


def test_the_team_sees_the_picture(cast: Cast, photo: Picture) -> None:
    for who in (cast.owner, cast.vet, cast.farrier, cast.carer):
        response = Door(who, cast.case).get("picture_file", photo.public_id)
        assert response.status_code == 200
        assert b"".join(response.streaming_content) == on_disk(str(photo.file.name)).read_bytes()  # type: ignore[attr-defined]


def test_it_is_served_as_a_picture_and_nothing_else(cast: Cast, photo: Picture) -> None:
    response = Door(cast.vet, cast.case).get("picture_file", photo.public_id)
    assert response["Content-Type"] == "image/jpeg"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Cache-Control"] == "private, no-store"
    assert response["Content-Disposition"] == f'inline; filename="picture-{photo.public_id}.jpg"'
    assert "default-src 'none'" in response["Content-Security-Policy"]


def test_nobody_else_sees_it(cast: Cast, photo: Picture) -> None:
    for who in (cast.stranger, cast.removed, cast.other_vet, cast.invited, cast.staff):
        response = Door(who, cast.case).get("picture_file", photo.public_id)
        assert response.status_code == 404
    response = Door(None, cast.case).get("picture_file", photo.public_id)
    assert response.status_code == 302


def test_it_hangs_on_its_own_case_only(cast: Cast, photo: Picture) -> None:
    for page in ("picture", "picture_file", "picture_small", "picture_blank"):
        elsewhere = Door(cast.owner, cast.concern).get(page, photo.public_id)
        assert elsewhere.status_code == 404
        others = Door(cast.other_owner, cast.other_case).get(page, photo.public_id)
        assert others.status_code == 404


def test_a_picture_is_only_read(cast: Cast, photo: Picture) -> None:
    door = Door(cast.owner, cast.case)
    assert door.post("picture_file", photo.public_id).status_code == 405


def test_a_file_lost_from_the_disk_is_not_found(cast: Cast, photo: Picture) -> None:
    on_disk(str(photo.file.name)).unlink()
    response = Door(cast.vet, cast.case).get("picture_file", photo.public_id)
    assert response.status_code == 404


def test_no_public_address_leads_to_the_file(cast: Cast, photo: Picture) -> None:
    response = Door(cast.owner, cast.case).client.get(f"/never-served-directly/{photo.file.name}")
    assert response.status_code == 404


# -- blanking one out


def blank(cast: Cast, photo: Picture, reason: str = "A child is in it.") -> HttpResponse:
    door = Door(cast.owner, cast.case)
    return door.post("picture_blank", photo.public_id, reason=reason)


def test_a_photo_is_blanked_out_for_good(
    cast: Cast, photo: Picture, drain: Callable[..., int]
) -> None:
    file = on_disk(str(photo.file.name))
    blank(cast, photo)
    response = Door(cast.owner, cast.case).get("picture_file", photo.public_id)
    assert response.status_code == 404  # at once, for everybody
    drain()
    assert not file.exists()


def test_that_there_was_one_stays_with_the_reason(cast: Cast, photo: Picture) -> None:
    blank(cast, photo)
    photo.refresh_from_db()
    assert photo.redacted_at is not None
    assert photo.file.name == ""
    line = last_line(cast.case, "flag.photo_blanked")
    assert line.after == {"photo": photo.public_id, "reason": "A child is in it."}
    page = text_of(Door(cast.vet, cast.case).get("flag", flag_of(photo).public_id))
    assert "A picture was blanked out" in page


def test_blanking_out_twice_is_once(cast: Cast, photo: Picture) -> None:
    blank(cast, photo)
    blank(cast, photo, "Again.")
    assert verbs(cast.case).count("flag.photo_blanked") == 1


def test_blanking_out_needs_a_reason(cast: Cast, photo: Picture) -> None:
    response = blank(cast, photo, "  ")
    assert response.status_code == 422
    photo.refresh_from_db()
    assert photo.redacted_at is None


def test_blanking_out_is_for_the_owner_and_for_who_added_it(cast: Cast, photo: Picture) -> None:
    for who in (cast.vet, cast.farrier, cast.carer):
        door = Door(who, cast.case)
        assert door.get("picture_blank", photo.public_id).status_code == 403
        assert door.post("picture_blank", photo.public_id, reason="x").status_code == 403
        assert "Blank out" not in text_of(door.get("picture", photo.public_id))
    stranger = Door(cast.stranger, cast.case)
    assert stranger.post("picture_blank", photo.public_id).status_code == 404
    Picture.objects.update(added_by=cast.carer)
    door = Door(cast.carer, cast.case)
    assert "Blank out" in text_of(door.get("picture", photo.public_id))
    assert door.post("picture_blank", photo.public_id, reason="x").status_code == 302


def test_a_photo_of_a_closed_case_can_still_be_blanked_out(
    cast: Cast, photo: Picture, now: datetime
) -> None:
    shut(cast.case, now)
    assert blank(cast, photo).status_code == 302


def test_the_blanking_page_shows_which_photo(cast: Cast, photo: Picture) -> None:
    door, own = Door(cast.owner, cast.case), photo.public_id
    assert door.address("picture_file", own) in text_of(door.get("picture_blank", own))
    assert door.get("picture_blank", "nosuchphoto").status_code == 404
    assert door.client.put(door.address("picture_blank", own)).status_code == 405


# -- added later


def test_a_photo_is_added_later_by_anyone_on_the_team(cast: Cast, photo: Picture) -> None:
    flag = flag_of(photo).public_id
    for who, colour in ((cast.farrier, "green"), (cast.carer, "blue")):
        sent = Door(who, cast.case).post("flag_photos", flag, photos=[upload(jpeg(colour))])
        assert sent.status_code == 302
    assert flag_of(photo).pictures.count() == 3
    assert told(cast.case, "flag.photo_added") == {
        "Ola Owner",
        "Vera Vet",
        "Finn Farrier",
        "Stina Standin",
        "Cara Carer",
    }


def test_of_a_photo_added_later_it_can_be_said_what_it_shows(cast: Cast, photo: Picture) -> None:
    """Then it can be measured and compared, as every other picture."""
    door = Door(cast.carer, cast.case)
    flag = flag_of(photo).public_id
    more = {"picture_view": "side", "picture_foot": "RH", "client_key": "k"}
    for _ in range(2):
        door.post("flag_photos", flag, photos=[upload(jpeg("green"))], **more)
    later = flag_of(photo).pictures.exclude(pk=photo.pk).get()
    assert (later.view, later.foot) == ("side", "RH")
    assert "From the side" in text_of(door.get("flag", flag))
    assert photo.view == "place"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"picture_view": "side"}, "Choose the foot that it shows."),
        ({"picture_view": "film_side", "picture_foot": "LF"}, "Films are for the vet."),
    ],
)
def test_what_it_cannot_show_is_said(
    cast: Cast, photo: Picture, more: dict[str, str], said: str
) -> None:
    door = Door(cast.farrier, cast.case)
    flag = flag_of(photo).public_id
    door.post("flag_photos", flag, photos=[upload(jpeg("green"))], **more)
    assert said in text_of(door.get("flag", flag))
    assert flag_of(photo).pictures.count() == 1


def test_nothing_or_no_photo_is_said_and_nothing_is_kept(cast: Cast, photo: Picture) -> None:
    door = Door(cast.vet, cast.case)
    flag = flag_of(photo).public_id
    door.post("flag_photos", flag)
    assert "Choose a photo first." in text_of(door.get("flag", flag))
    door.post("flag_photos", flag, photos=[upload(b"<svg/>")])
    assert "cannot be read as a photo" in text_of(door.get("flag", flag))
    assert flag_of(photo).pictures.count() == 1


def test_there_is_an_end_to_the_photos_of_one_flag(
    cast: Cast, photo: Picture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("horses.services.photos.MOST_ON_A_FLAG", 1)
    door = Door(cast.vet, cast.case)
    door.post("flag_photos", flag_of(photo).public_id, photos=[upload(jpeg("green"))])
    assert "At most 1 photos stand" in text_of(door.get("flag", flag_of(photo).public_id))
    assert flag_of(photo).pictures.count() == 1
