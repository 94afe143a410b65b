"""Notes: who reads them, and corrections."""

from datetime import datetime

import pytest
from django.http import Http404

from horses.models import Note
from horses.queries.board import notes_for
from horses.services.deed import DeedRefused
from horses.services.notes import note_write
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("audience", [set(), {"farrier"}, {"vet", "groom"}])
def test_an_audience_without_the_writer_or_with_unknown_roles_is_refused(
    audience: set[str], cast: Cast, now: datetime
) -> None:
    with pytest.raises(DeedRefused, match="Choose who may read it|Your own side"):
        build.note(cast.access(cast.vet), now, audience=audience)
    assert not Note.objects.exists()


@pytest.mark.parametrize("who", ["owner", "farrier", "stand_in", "carer"])
def test_only_roles_in_the_audience_read_it(who: str, cast: Cast, now: datetime) -> None:
    build.note(cast.access(cast.vet), now, "Vets and farriers.", {"vet", "farrier"})
    access = cast.access(getattr(cast, who))
    assert notes_for(access).exists() is (access.role == "farrier")


def test_one_corrects_ones_own_notes_only(cast: Cast, now: datetime) -> None:
    note = build.note(cast.access(cast.vet), now)
    for who in (cast.farrier, cast.owner):
        with pytest.raises(Http404):
            note_write(
                access=cast.access(who),
                body="No.",
                audience=build.TEAM,
                corrects_id=note.public_id,
                now=now,
            )
    later = note_write(
        access=cast.access(cast.vet),
        body="The right one.",
        audience=build.TEAM,
        corrects_id=note.public_id,
        now=now,
    )
    assert list(note.corrections.all()) == [later]


def test_a_note_of_another_case_is_not_corrected_from_here(cast: Cast, now: datetime) -> None:
    note = build.note(cast.access(cast.vet, cast.concern), now)
    with pytest.raises(Http404):
        note_write(
            access=cast.access(cast.vet),
            body="x",
            audience=build.TEAM,
            corrects_id=note.public_id,
            now=now,
        )
