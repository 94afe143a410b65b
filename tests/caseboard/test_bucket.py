"""Photos in S3-compatible storage: through the same doors, by nobody's public address."""

from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import boto3
import pytest
from botocore.exceptions import EndpointConnectionError
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from moto import mock_aws

from caseboard.backup.media_in import media_move_in
from caseboard.backup.write import media_write
from horses.ledger.photo_check import photo_faults
from horses.models import Flag, Picture
from horses.services.pictures import picture_blank
from tests.caseboard.commands import manage
from tests.cast import Cast
from tests.horses.doors import Door, text_of
from tests.horses.views.test_photo_pages import upload

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands", "bucket")]
NAME = "hooves"


@pytest.fixture
def bucket(settings: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    for name in ("AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY"):
        monkeypatch.setenv(name, "testing")
    with mock_aws():
        made = boto3.resource("s3", region_name="us-east-1").create_bucket(Bucket=NAME)
        options = {
            "bucket_name": NAME,
            "region_name": "us-east-1",
            "location": "yard",
            "file_overwrite": False,
        }
        settings.STORAGES = {
            **settings.STORAGES,
            "default": {"BACKEND": "caseboard.bucket.BucketStorage", "OPTIONS": options},
        }
        yield made


@pytest.fixture
def photo(cast: Cast) -> Picture:
    Door(cast.owner, cast.case).post("flag_new", signs=["heat"], photos=[upload()])
    return Picture.objects.get()


def names(bucket: Any) -> list[str]:
    return [found.key for found in bucket.objects.all()]


def away(*_: Any, **__: Any) -> Any:
    raise EndpointConnectionError(endpoint_url="http://storage.example")


def show(cast: Cast, photo: Picture, who: str = "vet") -> Any:
    door = Door(getattr(cast, who), cast.case)
    return door.get("picture_file", photo.public_id)


def test_a_photo_goes_into_the_bucket_and_comes_out_by_the_boards_own_page(
    cast: Cast, photo: Picture, bucket: Any
) -> None:
    assert names(bucket) == [f"yard/{photo.file.name}"]
    answer = show(cast, photo)
    assert answer.status_code == 200
    assert b"".join(answer.streaming_content)[:2] == b"\xff\xd8"


def test_a_stranger_gets_nothing_out_of_the_bucket(cast: Cast, photo: Picture) -> None:
    assert show(cast, photo, "other_vet").status_code == 404


def test_nothing_in_it_is_for_everybody(photo: Picture, bucket: Any) -> None:
    grants = bucket.Object(f"yard/{photo.file.name}").Acl().grants
    assert all("AllUsers" not in str(grant["Grantee"].get("URI", "")) for grant in grants)


def test_a_photo_that_was_blanked_out_leaves_the_bucket(
    cast: Cast, photo: Picture, bucket: Any, now: datetime, drain: Callable[[], int]
) -> None:
    picture_blank(
        access=cast.access(cast.owner),
        picture_id=photo.public_id,
        reason="A person",
        now=now,
    )
    drain()
    assert names(bucket) == []


def test_a_backup_takes_the_photos_out_of_it_and_brings_them_back(
    photo: Picture, bucket: Any, tmp_path: Path
) -> None:
    sums: dict[str, str] = {}
    assert media_write(tmp_path / "media", sums) == set()
    assert sums == {photo.file.name: photo.sha256}
    bucket.objects.all().delete()
    assert [fault.what for fault in photo_faults()] == ["missing"]
    new: set[str] = set()
    media_move_in(tmp_path, sums, new)
    assert (names(bucket), new) == ([f"yard/{photo.file.name}"], set(sums))
    assert list(photo_faults()) == []


def test_while_it_does_not_answer_the_words_of_a_flag_are_kept(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("botocore.client.BaseClient._make_api_call", away)
    answer = Door(cast.owner, cast.case).post(
        "flag_new", signs=["heat"], words="Warm.", photos=[upload()]
    )
    assert answer.status_code == 422
    assert "The photos cannot be kept just now" in text_of(answer)
    assert "Warm." in text_of(answer)
    assert not Flag.objects.exists()


def test_while_it_does_not_answer_a_photo_says_so(
    cast: Cast, photo: Picture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("botocore.client.BaseClient._make_api_call", away)
    answer = show(cast, photo)
    assert (answer.status_code, answer["Retry-After"]) == (503, "60")


def test_what_is_not_there_is_not_there_as_on_a_disk() -> None:
    with pytest.raises(FileNotFoundError):
        default_storage.open("flags/none.jpg")


def test_two_photos_never_have_one_name() -> None:
    kept = [default_storage.save("flags/a.jpg", ContentFile(b"x")) for _ in range(2)]
    assert len(set(kept)) == 2


ASK = "from django.core.files.storage import default_storage as s; print(type(s._wrapped).__name__ if s.exists else '', getattr(s, 'bucket_name', ''), getattr(s, 'default_acl', ''), getattr(s, 'endpoint_url', ''))"


def test_the_settings_choose_it(tmp_path: Path) -> None:
    done = manage(
        "shell",
        "-v",
        "0",
        "-c",
        ASK,
        state=tmp_path,
        MEDIA_S3_BUCKET=NAME,
        MEDIA_S3_ENDPOINT="https://storage.example",
    )
    assert done.stdout.split() == ["BucketStorage", NAME, "None", "https://storage.example"]


def test_without_the_setting_photos_are_on_the_disk(tmp_path: Path) -> None:
    done = manage("shell", "-v", "0", "-c", ASK, state=tmp_path)
    assert done.stdout.split()[0] == "PhotoDisk"
