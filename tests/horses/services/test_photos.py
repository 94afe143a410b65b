"""Photos of a flag."""

from collections.abc import Callable
from datetime import datetime

import pytest
from django.core.exceptions import PermissionDenied
from django.core.files.storage import default_storage
from django.http import Http404

from horses.models import Flag, Picture
from horses.queries.pictures import picture_get
from horses.services.deed import DeedRefused
from horses.services.photos import flag_raise_with_photos
from horses.services.pictures import MAX_PHOTOS, picture_blank
from tests.cast import Cast
from tests.stage import Stage, photo

pytestmark = pytest.mark.django_db


def _blank(stage: Stage, role: str, now: datetime, reason: str = "A person") -> Picture:
    return picture_blank(
        access=stage.access(role),
        picture_id=stage.photo.public_id,
        reason=reason,
        now=now,
    )


def test_more_photos_than_a_flag_takes_leave_no_flag(cast: Cast, now: datetime) -> None:
    with pytest.raises(DeedRefused, match="At most 3 photos"):
        flag_raise_with_photos(
            access=cast.access(cast.owner),
            signs=["crack"],
            feet=[],
            since_on=None,
            words="",
            photos=[photo()] * (MAX_PHOTOS + 1),
            now=now,
        )
    assert not Flag.objects.exists()


def test_a_photo_is_found_only_under_its_own_case(stage: Stage) -> None:
    assert picture_get(stage.access("carer"), stage.photo.public_id) == stage.photo
    cast = stage.cast
    for access in (cast.access(cast.owner), cast.access(cast.other_vet, cast.other_case)):
        with pytest.raises(Http404):
            picture_get(access, stage.photo.public_id)


def test_blanking_takes_the_file_and_leaves_the_row(
    stage: Stage, now: datetime, drain: Callable[[], int]
) -> None:
    name = str(stage.photo.file.name)
    assert default_storage.exists(name)
    _blank(stage, "owner", now)
    drain()
    assert not default_storage.exists(name)
    row = Picture.objects.get(pk=stage.photo.pk)
    assert (row.redacted_at, bool(row.file)) == (now, False)


def test_blanking_needs_a_reason_and_an_owner_or_who_added_it(stage: Stage, now: datetime) -> None:
    with pytest.raises(DeedRefused, match="Say why it is blanked out"):
        _blank(stage, "owner", now, reason=" ")
    with pytest.raises(PermissionDenied):
        _blank(stage, "vet", now)
    assert Picture.objects.get(pk=stage.photo.pk).redacted_at is None
