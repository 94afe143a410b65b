"""Photos of a flag: sent with it, or added later."""

from datetime import date, datetime
from typing import Any

from django.http import Http404
from django.urls import reverse

from caseboard.lib.photo import Photo
from caseboard.lib.spans import one_or
from horses.access import CaseAccess
from horses.models import Flag
from horses.services.deed import Deed, DeedRefused, deed
from horses.services.flags import flag_raise
from horses.services.pictures import MAX_PHOTOS, Shown, Taken, pictures_attach

NOT_SAID = Shown()
MOST_ON_A_FLAG = 12  # with those that were added later; house default


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
        _photos_add(act, flag, photos)
        return act.made(flag)


def flag_photos_add(
    *,
    access: CaseAccess,
    flag_id: str,
    photos: list[Photo],
    shown: Shown = NOT_SAID,
    client_key: str = "",
    now: datetime,
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
        payload: dict[str, Any] = {"flag": flag_id, "photos": [photo.sha256 for photo in photos]}
        if shown != NOT_SAID:
            payload["shown"] = [shown.view, shown.foot]
        if earlier := act.made_before(Flag, payload):
            return earlier
        if flag.pictures.count() + len(photos) > MOST_ON_A_FLAG:
            raise _refused(f"At most {MOST_ON_A_FLAG} photos stand with one flag.")
        _photos_add(act, flag, photos, shown)
        one = one_or(len(photos), "a photo", f"{len(photos)} photos")
        subject = f"{access.horse.name}: {access.person} added {one} to the flag"
        path = reverse("flag", args=[access.case.public_id, flag.public_id])
        act.tell("flag.photo_added", flag.pictures.latest("pk"), subject, path=path)
        return act.made(flag)


def _refused(words: str) -> DeedRefused:
    return DeedRefused(words, field="photos")


def _photos_add(act: Deed, flag: Flag, photos: list[Photo], shown: Shown = NOT_SAID) -> None:
    """What a flag's picture shows is not asked in a hurry; its foot is known where there is one."""
    if shown == NOT_SAID and len(flag.feet) == 1:
        shown = Shown(foot=flag.feet[0])
    try:
        pictures_attach(act, Taken(photos, shown), flag)
    except DeedRefused as refused:
        raise _refused(str(refused)) from refused
