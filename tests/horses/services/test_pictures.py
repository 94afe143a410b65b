"""Pictures of a board: who adds them to what, who sees them, and what becomes of them."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

import pytest
from django.core.exceptions import PermissionDenied
from django.core.files.storage import default_storage
from django.http import Http404

from horses.access import EVERYONE
from horses.ledger.photo_check import photos_against_history
from horses.models import HistoryLine, Note, Picture, Visit
from horses.models.base import new_public_id
from horses.queries.pictures import of_one_view, picture_get, pictures_for, pictures_of_visits
from horses.services.deed import DeedRefused
from horses.services.exam_correct import exam_correct, exam_void
from horses.services.exams import exam_record
from horses.services.notes import note_write
from horses.services.pictures import Shown, Taken, picture_blank, pictures_add
from tests.stage import JPEG, Stage, photo

pytestmark = pytest.mark.django_db
SIDE = Shown("side", "LF")
ROLES = ("owner", "farrier", "vet", "carer")


def added(
    stage: Stage,
    role: str,
    now: datetime,
    shown: Shown = SIDE,
    *,
    of: str = "",
    of_id: str = "",
) -> Picture:
    (picture,) = pictures_add(
        access=stage.access(role), taken=Taken([photo()], shown), of=of, of_id=of_id, now=now
    )
    return picture


def note_of_two(stage: Stage, now: datetime) -> Picture:
    """A note of the vet for the farrier, with a picture."""
    note = note_write(
        access=stage.access("vet"),
        body="Between us.",
        audience=frozenset({"vet", "farrier"}),
        taken=Taken([photo()], Shown("place")),
        now=now,
    )
    return Picture.objects.get(note=note)


def seen_by(stage: Stage, picture: Picture) -> set[str]:
    return {r for r in ROLES if pictures_for(stage.access(r)).filter(pk=picture.pk).exists()}


def test_one_by_itself_is_the_whole_teams(stage: Stage, now: datetime) -> None:
    assert seen_by(stage, added(stage, "carer", now)) == set(ROLES)


def test_one_with_a_note_is_seen_by_its_readers_only(stage: Stage, now: datetime) -> None:
    picture = note_of_two(stage, now)
    assert seen_by(stage, picture) == {"vet", "farrier"}
    with pytest.raises(Http404):
        picture_get(stage.access("owner"), picture.public_id)
    line = HistoryLine.objects.filter(verb="picture.added").latest("pk")
    assert (line.subject, line.audience) == (picture.note.public_id, ",farrier,vet,")  # type: ignore[union-attr]


def test_an_owner_does_not_blank_out_what_they_do_not_see(stage: Stage, now: datetime) -> None:
    picture = note_of_two(stage, now)
    with pytest.raises(Http404):
        picture_blank(
            access=stage.access("owner"), picture_id=picture.public_id, reason="x", now=now
        )


def test_that_it_was_blanked_out_is_told_to_its_readers_only(stage: Stage, now: datetime) -> None:
    picture = note_of_two(stage, now)
    picture_blank(
        access=stage.access("vet"), picture_id=picture.public_id, reason="A face", now=now
    )
    assert HistoryLine.objects.get(verb="picture.blanked").audience == ",farrier,vet,"


def test_a_note_and_its_picture_are_kept_together_or_not_at_all(
    stage: Stage, now: datetime
) -> None:
    before = Note.objects.count()
    with pytest.raises(DeedRefused, match="Films are for the vet"):
        note_write(
            access=stage.access("owner"),
            body="With a film.",
            audience=EVERYONE,
            taken=Taken([photo()], Shown("film_side", "LF")),
            now=now,
        )
    assert Note.objects.count() == before


def test_the_same_note_with_its_picture_sent_twice_is_one(stage: Stage, now: datetime) -> None:
    for _ in range(2):
        note_write(
            access=stage.access("owner"),
            body="Look.",
            audience=EVERYONE,
            taken=Taken([photo()]),
            client_key="k",
            now=now,
        )
    assert Picture.objects.exclude(note=None).count() == 1


def test_only_its_writer_adds_to_a_note(stage: Stage, now: datetime) -> None:
    written = stage.note.public_id  # by the vet
    added(stage, "vet", now, of="note", of_id=written)
    with pytest.raises(PermissionDenied):
        added(stage, "owner", now, of="note", of_id=written)


def test_only_a_vet_adds_to_an_examination_and_adds_films(stage: Stage, now: datetime) -> None:
    exam = stage.exam.public_id
    film = Shown("film_side", "LF")
    assert seen_by(stage, added(stage, "vet", now, film, of="exam", of_id=exam)) == set(ROLES)
    with pytest.raises(PermissionDenied):
        added(stage, "farrier", now, of="exam", of_id=exam)
    with pytest.raises(DeedRefused, match="Films are for the vet"):
        added(stage, "farrier", now, film)


@pytest.mark.parametrize("view", ["side", "place", "film_side"])
def test_a_dicom_file_is_a_film_whatever_it_is_called(
    stage: Stage, now: datetime, view: str
) -> None:
    sent = Taken([replace(photo(), is_film=True)], Shown(view, "LF"))
    with pytest.raises(DeedRefused, match="Films are for the vet"):
        pictures_add(access=stage.access("farrier"), taken=sent, now=now)
    if view == "film_side":
        assert pictures_add(access=stage.access("vet"), taken=sent, now=now)[0].is_film
        return
    with pytest.raises(DeedRefused, match="is a film") as refused:
        pictures_add(access=stage.access("vet"), taken=sent, now=now)
    assert refused.value.field == "picture_view"


def test_anybody_adds_to_a_visit_or_a_look(stage: Stage, now: datetime) -> None:
    for role in ROLES:
        added(stage, role, now, of="visit", of_id=stage.kept.public_id)
        added(stage, role, now, of="look", of_id=stage.looks["owner"].public_id)
    assert Picture.objects.exclude(visit=None).count() == 4


def test_a_visits_picture_is_seen_on_every_board_of_the_horse_and_blanked_out_on_its_own(
    stage: Stage, now: datetime
) -> None:
    picture = added(stage, "owner", now, of="visit", of_id=stage.kept.public_id)
    routine = stage.cast.access(stage.cast.owner, stage.cast.case)
    assert picture_get(routine, picture.public_id) == picture
    with pytest.raises(PermissionDenied):
        picture_blank(access=routine, picture_id=picture.public_id, reason="x", now=now)
    with pytest.raises(Http404):
        picture_get(routine, added(stage, "owner", now).public_id)
    other = stage.cast.access(stage.cast.other_vet, stage.cast.other_case)
    with pytest.raises(Http404):
        picture_get(other, picture.public_id)


def test_a_thing_of_another_board_or_kind_takes_none(stage: Stage, now: datetime) -> None:
    routine = stage.cast.access(stage.cast.owner, stage.cast.case)
    for of, of_id in (
        ("visit", stage.kept.public_id),
        ("flag", stage.flag.public_id),
        ("person", "x"),
        ("note", stage.kept.public_id),
    ):
        with pytest.raises(Http404):
            pictures_add(access=routine, taken=Taken([photo()]), of=of, of_id=of_id, now=now)


def test_one_of_an_examination_that_was_taken_back_is_in_no_row_of_pictures(
    stage: Stage, now: datetime
) -> None:
    exam = exam_record(
        access=stage.access("vet"),
        examined_at=now,
        feet=[],
        grade=None,
        words="Wrong horse.",
        taken=Taken([photo()], Shown("side", "LF")),
        now=now,
    )
    picture = Picture.objects.get(exam=exam)
    access = stage.access("vet")
    assert picture in of_one_view(access, foot="LF", view="side")
    exam_void(access=access, exam_id=exam.public_id, reason="Wrong horse", now=now)
    assert picture not in of_one_view(access, foot="LF", view="side")
    assert picture_get(access, picture.public_id) == picture


def test_it_is_hashed_in_the_history_and_missed_there(stage: Stage, now: datetime) -> None:
    added(stage, "owner", now)
    added(stage, "vet", now, of="exam", of_id=stage.exam.public_id)
    note_of_two(stage, now)
    assert list(photos_against_history()) == []
    Picture.objects.exclude(exam=None).update(sha256="0" * 64)
    assert len(list(photos_against_history())) == 2


def test_the_file_goes_and_the_row_stays(
    stage: Stage, now: datetime, drain: Callable[[], int]
) -> None:
    picture = added(stage, "carer", now)
    name = str(picture.file.name)
    picture_blank(
        access=stage.access("carer"), picture_id=picture.public_id, reason="A face", now=now
    )
    drain()
    assert not default_storage.exists(name)
    assert Picture.objects.get(pk=picture.pk).redacted_at == now


@pytest.mark.parametrize("corrections", [0, 1, 3])
def test_a_film_of_an_examination_that_was_taken_back_shows_this_horse_no_more(
    stage: Stage, now: datetime, corrections: int
) -> None:
    vet = stage.access("vet")
    exam = exam_record(access=vet, examined_at=now, feet=[], grade=None, words="Filmed.", now=now)
    film = added(stage, "vet", now, Shown("film_side", "LF"), of="exam", of_id=exam.public_id)
    for number in range(corrections):
        exam = exam_correct(
            access=vet,
            exam_id=exam.public_id,
            examined_at=now,
            feet=[],
            grade=None,
            words=f"Filmed, {number}.",
            reason="A slip.",
            now=now,
        )
    seen = pictures_for(vet)
    assert film in seen.standing()
    exam_void(access=vet, exam_id=exam.public_id, reason="The other mare.", now=now)
    assert film not in seen.standing()
    assert film in seen.kept()


@pytest.mark.parametrize("corrections", [0, 1, 3])
def test_a_picture_of_a_visit_that_was_taken_back_shows_this_horse_no_more(
    stage: Stage, now: datetime, corrections: int
) -> None:
    visit = Visit.objects.get(pk=stage.kept.pk)
    picture = added(stage, "owner", now, of="visit", of_id=visit.public_id)
    for _ in range(corrections):
        old, visit.pk, visit.public_id = Visit.objects.get(pk=visit.pk), None, new_public_id()
        visit.corrects = old
        visit.save()
        Visit.objects.filter(pk=old.pk).update(status=Visit.Status.VOIDED)
    seen = pictures_for(stage.access("owner"))
    assert picture in seen.standing()
    Visit.objects.filter(pk=visit.pk).update(status=Visit.Status.VOIDED)
    assert picture not in seen.standing()


def test_others_do_not_blank_it_out_but_an_owner_does(stage: Stage, now: datetime) -> None:
    picture = added(stage, "vet", now)
    for role in ("farrier", "carer"):
        with pytest.raises(PermissionDenied):
            picture_blank(
                access=stage.access(role), picture_id=picture.public_id, reason="x", now=now
            )
    picture_blank(access=stage.access("owner"), picture_id=picture.public_id, reason="x", now=now)


def test_no_more_than_three_at_a_time(stage: Stage, now: datetime) -> None:
    with pytest.raises(DeedRefused, match="At most 3"):
        pictures_add(access=stage.access("owner"), taken=Taken([photo()] * 4), now=now)
    made = pictures_add(
        access=stage.access("owner"),
        taken=Taken([photo(JPEG + bytes([n])) for n in range(3)]),
        now=now,
    )
    assert len({picture.sha256 for picture in made}) == 3


def test_of_a_visit_that_was_corrected_they_stand_with_the_version_that_counts(
    stage: Stage, now: datetime
) -> None:
    picture = added(stage, "owner", now, of="visit", of_id=stage.kept.public_id)
    later = Visit.objects.get(pk=stage.kept.pk)
    later.pk, later.public_id, later._state.adding = None, new_public_id(), True
    later.corrects = stage.kept
    later.save()
    Visit.objects.filter(pk=stage.kept.pk).update(status="voided")
    assert pictures_of_visits(stage.access("owner")) == {later.pk: [picture]}
    standing = pictures_for(stage.access("owner")).standing()
    assert picture in standing
    Visit.objects.filter(pk=later.pk).update(status="voided")
    assert picture not in standing.all()
