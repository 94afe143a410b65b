"""The life of a visit: its statuses, what each of them means, and what each deed makes of it.

The three tables are all there is to know of a status: whoever asks for the meaning of one
(`Visit.objects.kept()`, `visit.is_planned`) or changes it (`visit.turn`) reads them.
"""

from collections.abc import Mapping
from enum import Enum
from typing import NamedTuple

from django.db import models


class VisitStatus(models.TextChoices):
    PLANNED = "planned", "planned"
    KEPT = "kept", "kept"
    REPORTED = "reported", "reported"  # somebody else says that it took place
    CANCELLED = "cancelled", "cancelled"
    NOT_KEPT = "not_kept", "did not take place"  # somebody says so
    MISSED = "missed", "nobody has said yet"
    VOIDED = "voided", "taken back"  # was written up, and should not have been


class Meaning(NamedTuple):
    """What holds of the visits in one status."""

    ahead: bool = False  # still to come
    took_place: bool = False  # by the word of whoever did the work, or of somebody who was there
    written_up: bool = False  # whoever did the work wrote up what was done, or confirmed it
    off: bool = False  # did not take place, or is to be read as if it had not


MEANING: Mapping[VisitStatus, Meaning] = {
    VisitStatus.PLANNED: Meaning(ahead=True),
    VisitStatus.KEPT: Meaning(took_place=True, written_up=True),
    VisitStatus.REPORTED: Meaning(took_place=True),
    VisitStatus.CANCELLED: Meaning(off=True),
    VisitStatus.NOT_KEPT: Meaning(off=True),
    VisitStatus.MISSED: Meaning(),
    VisitStatus.VOIDED: Meaning(written_up=True, off=True),
}


class VisitChange(Enum):
    """What may happen to a visit that is there."""

    MOVE = "put on another day"
    CONFIRM = "the day confirmed by the other side"
    CANCEL = "cancelled"
    UNHEARD = "its day passed, and nobody said a word"
    WRITE_UP = "written up by the farrier"
    CORRECT = "another version written in its place"
    TAKE_BACK = "taken back"
    EXAMINE = "a vet examined the horse about that day"
    EXAM_MOVED = "the examination that kept it was on another day"
    EXAM_TAKEN_BACK = "the examination that kept it is taken back"
    EXAM_TAKEN_BACK_BESIDE = "the same, and another vet visit is planned by now"
    REPORT = "said by somebody else to have taken place"
    DENY = "said not to have taken place"
    VOUCH = "a report confirmed by whoever did the work, in a row of its own"
    UNSAY = "a report taken back, and its day had been planned"
    UNSAY_ALONE = "a report taken back that no planned day stands behind"


# Where a change is not named for a status, it is refused there.
LIFE: Mapping[VisitStatus, Mapping[VisitChange, VisitStatus]] = {
    VisitStatus.PLANNED: {
        VisitChange.MOVE: VisitStatus.PLANNED,
        VisitChange.CONFIRM: VisitStatus.PLANNED,
        VisitChange.CANCEL: VisitStatus.CANCELLED,
        VisitChange.UNHEARD: VisitStatus.MISSED,
        VisitChange.WRITE_UP: VisitStatus.KEPT,
        VisitChange.EXAMINE: VisitStatus.KEPT,
        VisitChange.REPORT: VisitStatus.REPORTED,
        VisitChange.DENY: VisitStatus.NOT_KEPT,
    },
    VisitStatus.MISSED: {
        VisitChange.WRITE_UP: VisitStatus.KEPT,
        VisitChange.REPORT: VisitStatus.REPORTED,
        VisitChange.DENY: VisitStatus.NOT_KEPT,
    },
    VisitStatus.REPORTED: {
        VisitChange.VOUCH: VisitStatus.VOIDED,
        VisitChange.WRITE_UP: VisitStatus.VOIDED,  # the row of the work stands in its place
        VisitChange.UNSAY: VisitStatus.PLANNED,
        VisitChange.UNSAY_ALONE: VisitStatus.VOIDED,
        VisitChange.EXAMINE: VisitStatus.KEPT,
    },
    # Whoever said so may have been looking at the wrong day.
    VisitStatus.NOT_KEPT: {
        VisitChange.WRITE_UP: VisitStatus.KEPT,
        VisitChange.REPORT: VisitStatus.REPORTED,
        VisitChange.UNSAY: VisitStatus.PLANNED,
        VisitChange.UNSAY_ALONE: VisitStatus.VOIDED,
    },
    VisitStatus.KEPT: {
        VisitChange.CORRECT: VisitStatus.VOIDED,
        VisitChange.TAKE_BACK: VisitStatus.VOIDED,
        VisitChange.EXAM_MOVED: VisitStatus.KEPT,
        VisitChange.EXAM_TAKEN_BACK: VisitStatus.PLANNED,
        VisitChange.EXAM_TAKEN_BACK_BESIDE: VisitStatus.CANCELLED,
    },
    VisitStatus.CANCELLED: {},
    VisitStatus.VOIDED: {},
}


class NoSuchTurn(Exception):
    """A service changed a visit that it should have refused to change: a fault of ours."""


def status_after(status: str, change: VisitChange) -> VisitStatus:
    """The status that the change leads to. Raises NoSuchTurn where it leads nowhere."""
    try:
        return LIFE[VisitStatus(status)][change]
    except KeyError:
        raise NoSuchTurn(f"a {status} visit cannot be {change.value}") from None
