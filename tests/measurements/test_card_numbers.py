"""A card's number is kept with the picture, and offers the foot it was last used for: to one person."""

import html
import io
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from horses.models import Membership, Picture
from horses.services.pictures import picture_blank
from measurements.queries.card_uses import last_use
from tests import build
from tests.cast import Cast
from tests.measurements.test_points_pages import as_
from tests.pictures import drawn_foot, picture

pytestmark = pytest.mark.django_db


@pytest.fixture
def used(cast: Cast, now: datetime, drain: Callable[..., int], clock_stands: Any) -> Picture:
    """The farrier's picture of the left hind, with card 7 beside it."""
    made = picture(cast.access(cast.farrier), now - timedelta(days=3), foot="LH")
    drain()
    made.refresh_from_db()
    return made


def asked(cast: Cast, who: str, case: Any = None, jpeg: bytes | None = None) -> Any:
    address = f"/cases/{(case or cast.case).public_id}/card-asked/"
    file = SimpleUploadedFile("x.jpg", jpeg or drawn_foot(), "image/jpeg")
    return as_(getattr(cast, who)).post(address, {"picture": file})


def words(answer: Any) -> str:
    return html.unescape(answer.content.decode())


def test_the_number_is_kept_with_the_picture(used: Picture, cast: Cast) -> None:
    assert used.card_number == 7
    said = as_(cast.owner).get(f"/cases/{cast.case.public_id}/pictures/{used.public_id}/")
    assert "Card 7 stands on it." in said.content.decode()


def test_a_picture_without_a_card_keeps_none(
    cast: Cast, now: datetime, drain: Callable[..., int]
) -> None:
    made = picture(cast.access(cast.farrier), now, dirty=True)
    film = picture(cast.access(cast.vet), now, view="film_side")
    drain()
    assert Picture.objects.filter(pk__in=(made.pk, film.pk), card_number=None).count() == 2


def test_one_that_was_blanked_out_before_the_search_keeps_none(
    cast: Cast, now: datetime, drain: Callable[..., int]
) -> None:
    access = cast.access(cast.owner)
    made = picture(access, now)
    picture_blank(access=access, picture_id=made.public_id, reason="A person.", now=now)
    drain()
    made.refresh_from_db()
    assert made.card_number is None


def test_the_foot_it_was_last_used_for_is_offered_and_not_chosen(used: Picture, cast: Cast) -> None:
    said = words(asked(cast, "farrier"))
    assert f"Card 7 was last used for {cast.horse.name}'s left hind, from the side" in said
    assert "Is this that foot?" in said
    assert 'data-foot="LH" data-view="side"' in said
    assert "checked" not in said


def test_the_newest_use_counts(
    used: Picture, cast: Cast, now: datetime, drain: Callable[..., int]
) -> None:
    picture(cast.access(cast.farrier), now - timedelta(days=1), foot="RF")
    drain()
    assert 'data-foot="RF"' in asked(cast, "farrier").content.decode()


def test_the_cards_of_others_are_not_ones_own(used: Picture, cast: Cast) -> None:
    """Everybody prints card 1: what the farrier photographed says nothing of the owner's card."""
    assert asked(cast, "owner").content.decode().strip() == ""


def test_a_horse_that_the_person_sees_no_more_is_not_told(used: Picture, cast: Cast) -> None:
    assert last_use(cast.farrier, 7) is not None
    Membership.objects.filter(case=cast.case, person=cast.farrier).update(left_at=used.added_at)
    assert last_use(cast.farrier, 7) is None


def test_another_horse_is_told_with_the_way_to_its_form(
    cast: Cast, now: datetime, drain: Callable[..., int], clock_stands: Any
) -> None:
    picture(cast.access(cast.other_farrier, cast.other_case), now)
    drain()
    Membership.objects.create(
        case=cast.case, person=cast.other_farrier, role="farrier", joined_at=now
    )
    said = words(asked(cast, "other_farrier"))
    other = cast.other_case
    assert f"Card 7 was last used for {other.horse.name}'s left fore" in said
    assert f"This form is for {cast.horse.name}." in said
    assert f"/cases/{other.public_id}/pictures/new/?foot=LF&view=side" in said
    assert "data-card-take" not in said


def test_a_picture_that_was_taken_back_offers_nothing(
    used: Picture, cast: Cast, now: datetime
) -> None:
    access = cast.access(cast.farrier)
    picture_blank(access=access, picture_id=used.public_id, reason="Wrong horse.", now=now)
    assert asked(cast, "farrier").content.decode().strip() == ""


def test_a_note_that_the_person_no_longer_reads_offers_nothing(
    cast: Cast, now: datetime, drain: Callable[..., int]
) -> None:
    note = build.note(cast.access(cast.vet), now, audience={"vet", "farrier"})
    made = picture(cast.access(cast.vet), now, of="note", of_id=note.public_id)
    drain()
    assert last_use(cast.vet, 7) is not None
    Membership.objects.filter(case=cast.case, person=cast.vet).update(role="owner")
    assert last_use(cast.vet, 7) is None, made.note


def blank_jpeg() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (300, 200), "grey").save(out, "JPEG")
    return out.getvalue()


def test_who_may_add_no_picture_asks_of_no_card(used: Picture, cast: Cast) -> None:
    assert asked(cast, "other_farrier").status_code == 404  # a stranger to this horse
    assert as_(cast.farrier).get(f"/cases/{cast.case.public_id}/card-asked/").status_code == 405
    cast.case.closed_at = used.added_at
    cast.case.save()
    assert asked(cast, "farrier").status_code in (403, 409)


def test_a_picture_without_a_card_is_answered_with_nothing(used: Picture, cast: Cast) -> None:
    answer = asked(cast, "farrier", jpeg=blank_jpeg())
    assert (answer.status_code, answer.content.strip()) == (200, b"")


@pytest.mark.parametrize("jpeg", [b"", b"no picture", b"\xff\xd8\xff" + b"0" * 400])
def test_what_is_no_picture_is_refused(jpeg: bytes, cast: Cast, used: Picture) -> None:
    file = SimpleUploadedFile("x.jpg", jpeg, "image/jpeg")
    address = f"/cases/{cast.case.public_id}/card-asked/"
    assert as_(cast.farrier).post(address, {"picture": file}).status_code == 422
    assert as_(cast.farrier).post(address, {}).status_code == 422
    assert Picture.objects.count() == 1


def test_it_is_not_asked_without_end(used: Picture, cast: Cast, settings: Any) -> None:
    settings.LIMIT_PHOTO_FORMS = 1
    assert asked(cast, "farrier", jpeg=blank_jpeg()).status_code == 200
    assert asked(cast, "farrier", jpeg=blank_jpeg()).status_code == 429
