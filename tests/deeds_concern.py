"""What comes up on a board: alerts, cases, examinations, flags and their photos."""

from typing import Any
from unittest.mock import patch

from horses.access import CaseAccess
from horses.models import Flag, FlagAnswer, Picture, Role
from horses.services.alerts import alert_answer, alert_see
from horses.services.cases import case_close, case_open
from horses.services.exams import FootFound, Grade, exam_record
from horses.services.exports import case_export_note
from horses.services.flags import flag_answer, flag_raise
from horses.services.looks import look_mark, look_undo
from horses.services.photos import flag_photos_add, flag_raise_with_photos
from horses.services.pictures import Shown, Taken, picture_blank, pictures_add
from horses.services.shoes import shoe_back
from tests.deed import Deed, Do, today
from tests.stage import JPEG, Stage, photo


def _answer(kind: str) -> Do:
    def do(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
        words = "I come tomorrow." if twist else "I come today."
        return flag_answer(flag_id=stage.flag.public_id, words=words, kind=kind, **shared)

    return do


def _look(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    """The horse of the stage has open flags, beside which nobody may say "nothing seen"."""
    with patch("horses.services.looks.open_flags_on", return_value=Flag.objects.none()):
        return look_mark(**shared)


def _blank(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    """The owner any; everybody else what they added themself."""
    if access.role != Role.OWNER:
        Picture.objects.filter(pk=stage.photo.pk).update(added_by=access.person)
    return picture_blank(picture_id=stage.photo.public_id, reason="A person", **shared)


ANSWERED, PHONED = FlagAnswer.Kind.ANSWERED, FlagAnswer.Kind.VET_PHONED


DEEDS: tuple[Deed, ...] = (
    Deed(
        "see an alert",
        "alert.see",
        "alert.seen",
        lambda st, s, k, t: alert_see(alert_id=st.alert.public_id, **k),
    ),
    Deed(
        "answer an alert",
        "alert.answer",
        "alert.answered",
        lambda st, s, k, t: alert_answer(
            alert_id=st.alert.public_id, words="No." if t else "Yes.", **k
        ),
        keyed=True,
        tells=True,
    ),
    Deed("look at a horse", "look.mark", "look.marked", _look),
    Deed(
        "take a look back",
        "look.undo",
        "look.undone",
        lambda st, s, k, t: look_undo(look_id=st.looks[k["access"].role].public_id, **k),
    ),
    Deed(
        "open a case",
        "case.open",
        "case.opened",
        lambda st, s, k, t: case_open(title="Right hind" if t else "Left hind", why="Hot.", **k),
        keyed=True,
        tells=True,
    ),
    Deed(
        "close a case",
        "case.close",
        "case.closed",
        lambda st, s, k, t: case_close(outcome="met", words="Sound again.", **k),
        tells=True,
    ),
    Deed(
        "take a copy of the case",
        "case.export",
        "case.exported",
        lambda st, s, k, t: case_export_note(**k),
    ),
    Deed(
        "record an examination",
        "exam.record",
        "exam.recorded",
        lambda st, s, k, t: exam_record(
            examined_at=k["now"],
            feet=[FootFound("LF", pulse=2)],
            grade=Grade("aaep", 1),
            words="Worse" if t else "Better",
            **k,
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "raise a flag",
        "flag.raise",
        "flag.raised",
        lambda st, s, k, t: flag_raise(
            signs=["crack"], feet=["RH"], since_on=None, words="new" if t else "old", **k
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "raise a flag with a photo",
        "flag.raise",
        "flag.photo_added",
        lambda st, s, k, t: flag_raise_with_photos(
            signs=["crack"],
            feet=["RH"],
            since_on=None,
            words="new" if t else "old",
            photos=[photo()],
            **k,
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "add a photo to a flag",
        "flag.photo",
        "flag.photo_added",
        lambda st, s, k, t: flag_photos_add(
            flag_id=st.flag.public_id, photos=[photo(JPEG + b"2" if t else JPEG)], **k
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "answer a flag", "flag.answer", "flag.answered", _answer(ANSWERED), keyed=True, tells=True
    ),
    Deed(
        "write down what the vet said",
        "flag.vet_phoned",
        "flag.answered",
        _answer(PHONED),
        keyed=True,
        tells=True,
    ),
    Deed(
        "say that a lost shoe is back",
        "shoe.back",
        "shoe.back",
        lambda st, s, k, t: shoe_back(
            flag_id=st.lost_shoe.public_id,
            kind="new" if t else "back",
            feet=["RH"],
            on=today(k),
            **k,
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "blank out a photo",
        "picture.redact",
        "flag.photo_blanked",
        _blank,
    ),
    Deed(
        "add a picture",
        "picture.add",
        "picture.added",
        lambda st, s, k, t: pictures_add(
            taken=Taken([photo(JPEG + b"2" if t else JPEG)], Shown("side", "LF")), **k
        )[0],
        keyed=True,
    ),
)
