"""Photos of a flag: added with it, shown to the team only, blanked out when they should not stay."""

from datetime import date, datetime
from typing import Any

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db.models import QuerySet
from django.http import Http404
from django.urls import reverse

from caseboard.lib.logging.fields import logger
from caseboard.lib.photo import Photo
from caseboard.lib.spans import one_or
from horses.access import CaseAccess
from horses.jobs.outbox import enqueue, job_handler
from horses.models import Flag, FlagPhoto
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.flags import flag_raise

log = logger("horses.photos")

MOST_ON_A_FLAG = 12  # with those that were added later; house default
MAX_PHOTOS = 3  # a flag; house default: from the side, from the front, the place itself
NOT_KEPT = (
    "The photos cannot be kept just now. Save it without them and add them later. If the horse needs "
    "help, do not wait for this page: ring your vet."
)


def flag_raise_with_photos(
    *,
    access: CaseAccess,
    signs: list[str],
    feet: list[str],
    since_on: date | None,
    words: str,
    photos: list[Photo],
    client_key: str = "",
    now: datetime,
) -> Flag:
    """A flag and its photos, all or nothing; the same form sent twice is one flag."""
    with deed(access, "flag.raise", now=now, key=client_key) as act:
        if len(photos) > MAX_PHOTOS:
            raise _refused(f"At most {MAX_PHOTOS} photos go with one flag.")
        told: dict[str, Any] = {"signs": signs, "feet": feet, "since_on": since_on, "words": words}
        payload = {
            **told,
            "case": access.case.public_id,
            "photos": [photo.sha256 for photo in photos],
        }
        if earlier := act.made_before(Flag, payload):
            return earlier
        flag = flag_raise(access=access, **told, now=now)
        if photos:
            _photos_add(act, flag, photos)
        return act.made(flag)


def flag_photos_add(
    *, access: CaseAccess, flag_id: str, photos: list[Photo], client_key: str = "", now: datetime
) -> Flag:
    """Adds photos to a flag that is there already, answered or not, and tells the others."""
    with deed(access, "flag.photo", now=now, key=client_key) as act:
        flag = Flag.objects.filter(case=access.case, public_id=flag_id).first()
        if flag is None:
            raise Http404("no such flag")
        if not photos:
            raise _refused("Choose a photo first.")
        if len(photos) > MAX_PHOTOS:
            raise _refused(f"At most {MAX_PHOTOS} photos at a time.")
        payload = {"flag": flag_id, "photos": [photo.sha256 for photo in photos]}
        if earlier := act.made_before(Flag, payload):
            return earlier
        if flag.photos.count() + len(photos) > MOST_ON_A_FLAG:
            raise _refused(f"At most {MOST_ON_A_FLAG} photos stand with one flag.")
        _photos_add(act, flag, photos)
        one = one_or(len(photos), "a photo", f"{len(photos)} photos")
        subject = f"{access.horse.name}: {access.person} added {one} to the flag"
        path = reverse("flag", args=[access.case.public_id, flag.public_id])
        act.tell("flag.photo_added", flag.photos.latest("pk"), subject, path=path)
        return act.made(flag)


def _refused(words: str) -> DeedRefused:
    return DeedRefused(words, field="photos")


def _photos_add(act: Deed, flag: Flag, photos: list[Photo]) -> None:
    for photo in photos:
        row = FlagPhoto(
            flag=flag,
            width_px=photo.width_px,
            height_px=photo.height_px,
            sha256=photo.sha256,
            added_at=act.now,
        )
        # The name is ours and cannot be guessed; the name it was sent under is not kept.
        try:
            row.file.save(f"{row.public_id}.jpg", ContentFile(photo.jpeg), save=False)
        except OSError as error:  # the disk is full, or the storage does not answer
            log.error("photo.not_kept", error=type(error).__name__)
            raise _refused(NOT_KEPT) from error
        row.save()
    act.line("flag.photo_added", flag, after={"sha256": [photo.sha256 for photo in photos]})


def photo_get(access: CaseAccess, flag_id: str, photo_id: str) -> FlagPhoto:
    """The photo of a flag of this case, blanked out or not; Http404 for any other."""
    photo = _photos(access, flag_id).filter(public_id=photo_id).first()
    if photo is None:
        raise Http404("no such photo")
    return photo


def _photos(access: CaseAccess, flag_id: str) -> QuerySet[FlagPhoto]:
    return FlagPhoto.objects.filter(flag__case=access.case, flag__public_id=flag_id).select_related(
        "flag"
    )


def photo_blank(
    *, access: CaseAccess, flag_id: str, photo_id: str, reason: str, now: datetime
) -> FlagPhoto:
    """Takes the picture away for good; that there was one, and why it went, stays written."""
    with deed(access, "flag.redact", now=now) as act:
        locked = _photos(access, flag_id).select_for_update(of=("self",), no_key=True)
        photo = locked.filter(public_id=photo_id).first()
        if photo is None:
            raise Http404("no such photo")
        if photo.redacted_at is not None:
            return photo
        if not reason.strip():
            words = "Say why it is blanked out: the others see that a photo is missing."
            raise DeedRefused(words, field="reason")
        # The file goes after the commit, and goes even if this process dies before it does.
        enqueue("photo.delete", str(photo.file.name), now=now)
        photo.file, photo.redacted_at = "", now
        photo.save(update_fields=["file", "redacted_at"])
        act.line("flag.photo_blanked", flag_id, after={"photo": photo_id, "reason": reason})
        return photo


@job_handler("photo.delete")
def photo_delete(key: str, now: datetime) -> None:
    """Deletes the file of a photo that was blanked out; one that is gone already is fine."""
    default_storage.delete(key)
