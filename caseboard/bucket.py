"""Photos in S3-compatible storage, for installations of several machines (settings: MEDIA_S3_*).

Nothing in it is public: a photo goes out through the page that asks who may see it, as from a disk.
Its troubles are told as the disk's are (`OSError`), so that whoever keeps a photo knows one kind.

Decided 2026-11: photos are on disk or, by setting, in S3-compatible storage (the extra `s3`). The
road not taken: addresses that the bucket itself signs; they work for anyone who has them until they
expire, and a removal must end access on the next request.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from botocore.exceptions import BotoCoreError, ClientError
from storages.backends.s3 import S3Storage


class BucketStorage(S3Storage):
    def _open(self, name: str, mode: str = "rb") -> Any:
        with _as_of_a_disk():
            found = super()._open(name, mode)
            found.file  # noqa: B018  (fetched now: half a photo has no answer that can say so)
            return found

    def _save(self, name: str, content: Any) -> str:
        with _as_of_a_disk():
            return super()._save(name, content)

    def delete(self, name: str) -> None:
        with _as_of_a_disk():
            super().delete(name)

    def exists(self, name: str) -> bool:
        with _as_of_a_disk():
            return super().exists(name)

    def listdir(self, name: str) -> tuple[list[str], list[str]]:
        with _as_of_a_disk():
            return super().listdir(name)


@contextmanager
def _as_of_a_disk() -> Iterator[None]:
    try:
        yield
    except (BotoCoreError, ClientError) as error:
        raise OSError(f"the storage of photos: {type(error).__name__}") from error
