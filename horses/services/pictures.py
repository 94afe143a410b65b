"""Pictures: added to a visit, a note, a look, an examination, a flag or the board itself, and blanked
out when they should not stay.

Decided 2026-11: the owner may blank out any picture that they see, and everybody their
own: a picture of the wrong horse, or with a person on it, must not wait for somebody else.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.http import Http404
from django.utils import timezone

from caseboard.lib.logging.fields import logger
from caseboard.lib.photo import Photo
from horses.access import TEAM_AUDIENCE, CaseAccess
from horses.jobs.outbox import NUMBERS, enqueue, job_handler
from horses.models import Note, Picture, Role
from horses.models.base import Record
from horses.models.picture import FILMS, WITH_CARD
from horses.queries.pictures import pictures_for, thing_get
from horses.services.deed import Deed, DeedRefused, deed

log = logger("horses.photos")

MAX_PHOTOS = 3  # at a time; house default: from the side, from the front, the place itself
NOT_KEPT = (
    "The photos cannot be kept just now. Save it without them and add them later. If the horse needs "
    "help, do not wait for this page: ring your vet."
)
# The job that looks for the printed card on it; what it finds is measured in another app.
CARD_SOUGHT = "picture.card"
NO_FILMS = "Films are for the vet. Choose another view."
# What a DICOM file holds is a film, whatever it is called: only a vet adds it, as one.
FROM_WHERE = "A DICOM file is a film: it is added as a film from the side or from the front."


@dataclass(frozen=True)
class Shown:
    """What the pictures of one form show."""

    view: str = Picture.View.PLACE
    foot: str = ""
    taken_on: date | None = None  # none: the day on which they are added


@dataclass(frozen=True)
class Taken:
    """Pictures of a form and what they show; most forms have none."""

    photos: Sequence[Photo] = ()
    shown: Shown = Shown()

    @property
    def payload(self) -> dict[str, Any]:
        """For the key of the form; nothing where there are no pictures, as before there were any."""
        if not self.photos:
            return {}
        shown = [self.shown.view, self.shown.foot, self.shown.taken_on]
        return {"pictures": [photo.sha256 for photo in self.photos], "shown": shown}


NO_PICTURES = Taken()


def pictures_add(
    *,
    access: CaseAccess,
    taken: Taken,
    of: str = "",
    of_id: str = "",
    client_key: str = "",
    now: datetime,
) -> list[Picture]:
    """Adds pictures to the board itself, or to a thing of it that is there already."""
    with deed(access, "picture.add", now=now, key=client_key) as act:
        thing = _thing(access, of, of_id)
        if not taken.photos:
            raise DeedRefused("Choose a picture first.", field="pictures")
        payload = {"case": access.case.public_id, "of": of_id, **taken.payload}
        if earlier := act.made_before(Picture, payload):
            return list(Picture.objects.filter(case=access.case, added_at=earlier.added_at))
        made = pictures_attach(act, taken, thing)
        act.made(made[0])
        return made


def _thing(access: CaseAccess, of: str, of_id: str) -> Record | None:
    if not of:
        return None
    thing = thing_get(access, of, of_id)
    if isinstance(thing, Note) and thing.author_id != access.person.pk:
        raise PermissionDenied("Only who wrote a note adds pictures to it.")
    if of == "exam" and access.role != Role.VET:
        raise PermissionDenied("Only a vet adds pictures to an examination.")
    return thing


def pictures_attach(act: Deed, taken: Taken, thing: Record | None = None) -> list[Picture]:
    """The rows, the files and the line, within a deed that has asked for the right. Raises
    DeedRefused beside the field `pictures`."""
    if not taken.photos:
        return []
    if len(taken.photos) > MAX_PHOTOS:
        raise DeedRefused(f"At most {MAX_PHOTOS} photos at a time.", field="pictures")
    is_film = taken.shown.view in FILMS
    sent_as_film = any(photo.is_film for photo in taken.photos)
    if (is_film or sent_as_film) and act.access.role != Role.VET:
        raise DeedRefused(NO_FILMS, field="picture_view")
    if sent_as_film and not is_film:
        raise DeedRefused(FROM_WHERE, field="picture_view")
    rows = [_kept(act, photo, taken.shown, thing) for photo in taken.photos]
    if thing is None:
        for row in rows:
            _line(act, row, [row])
    else:
        _line(act, thing, rows)
    return rows


def _kept(act: Deed, photo: Photo, shown: Shown, thing: Record | None) -> Picture:
    access = act.access
    row = Picture(
        case=access.case,
        foot=shown.foot,
        view=shown.view,
        taken_on=shown.taken_on or timezone.localtime(act.now).date(),
        added_by=access.person,
        added_by_name=str(access.person),
        added_by_role=access.role,
        added_at=act.now,
        width_px=photo.width_px,
        height_px=photo.height_px,
        sha256=photo.sha256,
    )
    if thing is not None:
        setattr(row, type(thing).__name__.lower(), thing)
    # The name is ours and cannot be guessed; the name it was sent under is not kept.
    try:
        row.file.save(f"{row.public_id}.jpg", ContentFile(photo.jpeg), save=False)
    except OSError as error:  # the disk is full, or the storage does not answer
        log.error("photo.not_kept", error=type(error).__name__)
        raise DeedRefused(NOT_KEPT, field="pictures") from error
    row.save()
    if row.view in WITH_CARD:
        enqueue(CARD_SOUGHT, row.public_id, now=act.now, rank=NUMBERS)
    return row


def _line(act: Deed, subject: Record, rows: list[Picture]) -> None:
    first, sums = rows[0], [row.sha256 for row in rows]
    if first.flag_id:
        act.line("flag.photo_added", subject, after={"sha256": sums})
        return
    shown = {"view": first.view, "foot": first.foot, "on": str(first.taken_on)}
    after = {"sha256": sums, **shown, "of": first.thing_kind}
    act.line("picture.added", subject, after=after, audience=picture_audience(first))


def picture_audience(picture: Picture) -> str:
    """The stored form of who reads of it: as of what it was added to."""
    return picture.note.audience if picture.note else TEAM_AUDIENCE


# -- taken away


def picture_empty(picture: Picture, now: datetime) -> None:
    """Empties the row. The file goes after the commit, and goes even if this process dies before."""
    enqueue("photo.delete", str(picture.file.name), now=now)
    picture.file, picture.redacted_at = "", now
    picture.save(update_fields=["file", "redacted_at"])


def may_blank(access: CaseAccess, picture: Picture) -> bool:
    """Whether it is theirs to blank out, given the right itself."""
    if picture.case_id != access.case.pk:  # of another board of the horse: there
        return False
    return access.role == Role.OWNER or picture.added_by_id == access.person.pk


def picture_blank(*, access: CaseAccess, picture_id: str, reason: str, now: datetime) -> Picture:
    """Takes the picture away for good; that there was one, and why it went, stays written."""
    with deed(access, "picture.redact", now=now) as act:
        seen = pictures_for(access).filter(public_id=picture_id).values("pk")
        locked = Picture.objects.select_for_update(of=("self",), no_key=True)
        picture = locked.filter(pk__in=seen).first()
        if picture is None:
            raise Http404("no such picture")
        if not may_blank(access, picture):
            raise PermissionDenied("The owner blanks out any picture; everybody else their own.")
        if picture.redacted_at is not None:
            return picture
        if not reason.strip():
            words = "Say why it is blanked out: the others see that a photo is missing."
            raise DeedRefused(words, field="reason")
        picture_empty(picture, now)
        after = {"photo": picture_id, "reason": reason}
        if picture.flag:
            act.line("flag.photo_blanked", picture.flag, after=after, audience=TEAM_AUDIENCE)
        else:
            audience = picture_audience(picture)
            act.line("picture.blanked", picture, after=after, audience=audience)
        return picture


@job_handler("photo.delete")
def photo_delete(key: str, now: datetime) -> None:
    """Deletes the file of a photo that was blanked out; one that is gone already is fine."""
    default_storage.delete(key)
