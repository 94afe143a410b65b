"""What films say on the page of their examination: numbers, errors, the film before; and to whom."""

import html
import json
import re
from collections.abc import Mapping
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client

from caseboard.case_reading import CaseReading
from caseboard.export.case_copy import case_copy
from horses.models import Exam, Membership, Person, Picture
from horses.services.exam_correct import exam_correct, exam_void
from horses.services.exams import exam_record
from horses.services.notes import note_write
from horses.services.pictures import picture_blank
from measurements.hoof.pictures.measured import Point
from measurements.models import PicturePoints
from measurements.queries.picture_points import measured_only, values_of
from measurements.services.picture_points import Placed, points_place
from measurements.services.points_readings import points_readings_record, taken_from
from tests import build
from tests.cast import Cast
from tests.pictures import FILM_POINTS, picture

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]

MARKER = Decimal(50)
AGO = timedelta(days=60)
# The bone's lower border steeper by some 5 degrees, and 4 mm more sole.
OTHERWISE: dict[str, Point] = {
    **FILM_POINTS,
    "bone_heel": (1000.0, 515.0),
    "bone_tip": (500.0, 560.0),
}


def place(
    cast: Cast, film: Picture, now: datetime, points: Mapping[str, Point] = FILM_POINTS, **more: Any
) -> PicturePoints:
    return points_place(
        access=cast.access(more.pop("who", cast.vet)),
        picture_id=film.public_id,
        placed=Placed(points, marker_mm=MARKER, **more),
        now=now,
    )


def examined(cast: Cast, now: datetime, **more: Any) -> tuple[Exam, Picture]:
    """An examination with a film, without points."""
    vet = cast.access(cast.vet)
    exam = exam_record(access=vet, examined_at=now, feet=[], grade=None, words="Filmed.", now=now)
    more = {"view": "film_side", **more}
    return exam, picture(vet, now, of="exam", of_id=exam.public_id, **more)


def filmed(
    cast: Cast, now: datetime, points: Mapping[str, Point] = FILM_POINTS, **more: Any
) -> tuple[Exam, Picture]:
    exam, film = examined(cast, now, **more)
    place(cast, film, now, points)
    return exam, film


def as_(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def films(cast: Cast, exam: Exam, who: Person | None = None) -> str:
    """The part of the page about films, as it reads."""
    page = as_(who or cast.owner).get(f"/cases/{cast.case.public_id}/exams/{exam.public_id}/")
    assert page.status_code == 200
    found = re.search(r'aria-labelledby="films-h".*?</section>', page.content.decode(), re.DOTALL)
    return read(found[0]) if found else ""


def read(part: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", part)).split())


def second_vet(cast: Cast) -> Person:
    """A colleague on the same case."""
    Membership.objects.create(
        case=cast.case,
        person=cast.other_vet,
        role="vet",
        joined_at=cast.case.opened_at,
        invited_by=cast.owner,
    )
    return cast.other_vet


def test_the_whole_team_reads_the_numbers_with_their_errors(cast: Cast, now: datetime) -> None:
    exam, _ = filmed(cast, now)
    for who in (cast.owner, cast.farrier, cast.vet, cast.carer):
        said = films(cast, exam, who)
        assert re.search(r"Palmar angle 4\.6° give or take 2\.\d°", said)
        assert re.search(r"Sole depth 14 mm give or take [\d.]+ mm", said)
        assert "Bone steeper than wall" in said
        assert "Points placed by Vera Vet" in said


def test_without_points_there_are_no_numbers_and_the_vet_alone_is_asked_for_them(
    cast: Cast, now: datetime
) -> None:
    exam, _ = examined(cast, now)
    for who, asked in ((cast.vet, True), (cast.owner, False), (cast.farrier, False)):
        said = films(cast, exam, who)
        assert "No points are placed on it yet" in said
        assert ("Place the points, get the numbers" in said) == asked


def test_a_corrected_examination_keeps_its_films(cast: Cast, now: datetime) -> None:
    exam, _ = filmed(cast, now)
    later = exam_correct(
        access=cast.access(cast.vet),
        exam_id=exam.public_id,
        examined_at=now,
        feet=[],
        grade=None,
        words="Filmed once.",
        reason="A slip",
        now=now + timedelta(minutes=1),
    )
    assert "Sole depth 14 mm" in films(cast, later)


def test_what_an_optional_point_would_tell_is_not_missed(cast: Cast, now: datetime) -> None:
    exam, _ = filmed(cast, now)
    assert "Not all points" not in films(cast, exam)


def test_behind_it_is_the_plantar_angle(cast: Cast, now: datetime) -> None:
    exam, _ = filmed(cast, now, foot="LH")
    said = films(cast, exam)
    assert "Plantar angle" in said
    assert "almar" not in said


# -- beside the film before


def test_a_change_that_is_more_than_both_errors_is_named(cast: Cast, now: datetime) -> None:
    filmed(cast, now - AGO)
    exam, _ = filmed(cast, now, OTHERWISE)
    said = films(cast, exam)
    assert re.search(r"Sole depth 18 mm .{15,25} 14 mm on 3 Sep 2026: 4 mm more, give", said)


def test_a_change_within_both_errors_is_none(cast: Cast, now: datetime) -> None:
    filmed(cast, now - AGO)
    exam, _ = filmed(cast, now, {**FILM_POINTS, "sole_under_tip": (500.0, 759.0)})
    said = films(cast, exam)
    assert re.search(r"Sole depth 16 mm .{15,25} 14 mm on 3 Sep 2026: no change that shows", said)
    assert " more" not in said.replace("more than both", "")


def test_a_difference_that_changes_its_side_says_where_it_lay(cast: Cast, now: datetime) -> None:
    filmed(cast, now - AGO, {**FILM_POINTS, "bone_high": (790.0, 300.0)})
    exam, _ = filmed(cast, now, {**FILM_POINTS, "bone_high": (700.0, 220.0)})
    said = films(cast, exam)
    assert re.search(r"Bone steeper than wall [\d.]+° .* wall steeper than bone [\d.]+° on 3", said)
    assert re.search(r"changed by [\d.]+°, give or take", said)


@pytest.mark.parametrize("of", ["foot", "view", "day"])
def test_only_an_earlier_film_of_the_same_foot_from_the_same_side_is_beside_it(
    cast: Cast, now: datetime, of: str
) -> None:
    if of == "foot":
        filmed(cast, now - AGO, OTHERWISE, foot="RF")
    elif of == "view":
        _, front = examined(cast, now - AGO, view="film_front")
        marker = {"marker_start": (100.0, 200.0), "marker_end": (100.0, 700.0)}
        sides = {f"{name}_inside": (300.0, y) for name, y in (("ground", 800.0), ("bone", 700.0))}
        others = {f"{name}_outside": (900.0, y) for name, y in (("ground", 800.0), ("bone", 700.0))}
        joint = {"joint_inside": (300.0, 600.0), "joint_outside": (900.0, 600.0)}
        place(cast, front, now - AGO, {**marker, **sides, **others, **joint})
    exam, _ = filmed(cast, now - timedelta(days=30) if of == "day" else now)
    if of == "day":
        filmed(cast, now, OTHERWISE)
    assert " on 3 Sep" not in films(cast, exam)
    assert "no change that shows" not in films(cast, exam)


def test_of_several_the_last_is_beside_it(cast: Cast, now: datetime) -> None:
    for days in (90, 20, 50):
        filmed(cast, now - timedelta(days=days))
    exam, _ = filmed(cast, now)
    said = films(cast, exam)
    assert "on 13 Oct 2026" in said
    assert "Sep" not in said


def test_a_trim_between_the_films_is_named_and_no_other(cast: Cast, now: datetime) -> None:
    farrier = cast.access(cast.farrier)
    filmed(cast, now - AGO)
    build.visit(farrier, now, (now - timedelta(days=90)).date())
    exam, _ = filmed(cast, now)
    assert "Trimmed" not in films(cast, exam)
    build.visit(farrier, now, (now - timedelta(days=30)).date())
    assert "Trimmed from one film to the other: 3 Oct 2026." in films(cast, exam)


def test_a_film_of_an_examination_that_was_taken_back_is_beside_none(
    cast: Cast, now: datetime
) -> None:
    wrong, _ = filmed(cast, now - AGO)
    access = cast.access(cast.vet)
    exam_void(access=access, exam_id=wrong.public_id, reason="Another horse", now=now)
    exam, _ = filmed(cast, now)
    assert "no change that shows" not in films(cast, exam)


def test_a_film_that_was_blanked_out_keeps_its_numbers_as_its_page_promises(
    cast: Cast, now: datetime
) -> None:
    before, film = filmed(cast, now - AGO)
    access = cast.access(cast.vet)
    picture_blank(access=access, picture_id=film.public_id, reason="A name on it", now=now)
    said = films(cast, before)
    assert "The film was blanked out" in said
    assert "Palmar angle 4.6°" in said
    assert "The points on the film" not in said
    exam, _ = filmed(cast, now)
    assert "no change that shows" in films(cast, exam)


def test_the_film_of_a_note_is_beside_another_for_the_notes_readers_only(
    cast: Cast, now: datetime
) -> None:
    access = cast.access(cast.vet)
    note = note_write(
        access=access,
        body="Between us.",
        audience=frozenset({"vet", "farrier"}),
        now=now - AGO,
    )
    secret = picture(access, now - AGO, view="film_side", of="note", of_id=note.public_id)
    place(cast, secret, now - AGO)
    exam, _ = filmed(cast, now)
    assert "3 Sep" in films(cast, exam, cast.farrier)
    assert "3 Sep" not in films(cast, exam, cast.owner)


# -- which points count, and for what


def test_who_placed_first_may_put_it_right_and_another_takes_nobodys_place(
    cast: Cast, now: datetime
) -> None:
    exam, film = filmed(cast, now)
    place(cast, film, now, OTHERWISE, who=second_vet(cast))
    assert "Sole depth 14 mm" in films(cast, exam)
    place(cast, film, now, OTHERWISE)
    assert "Sole depth 18 mm" in films(cast, exam)


def written(cast: Cast, row: PicturePoints, now: datetime, *keys: str) -> None:
    found = measured_only(values_of(row))
    readings = [
        taken_from(row, key, found[key], trim_state="between", shoeing="barefoot", sure=True)
        for key in keys
    ]
    points_readings_record(
        access=cast.access(cast.vet), points_id=row.public_id, readings=readings, now=now
    )


def test_once_a_reading_is_made_its_points_count_for_good(cast: Cast, now: datetime) -> None:
    exam, film = filmed(cast, now)
    written(cast, PicturePoints.objects.get(), now, "sole_depth")
    place(cast, film, now, OTHERWISE)
    assert "Sole depth 14 mm" in films(cast, exam)


def test_who_is_no_vet_any_more_writes_no_film_down(cast: Cast, now: datetime) -> None:
    filmed(cast, now)
    Membership.objects.filter(case=cast.case, person=cast.vet).update(role="farrier")
    with pytest.raises(PermissionDenied):
        written(cast, PicturePoints.objects.get(), now, "sole_depth")


def test_what_no_warning_knows_of_is_said(cast: Cast, now: datetime) -> None:
    """A thin sole on a film warns nobody before it is a reading."""
    exam, _ = filmed(cast, now)
    for who in (cast.owner, cast.farrier):
        said = films(cast, exam, who)
        assert "Not written down as a reading: palmar angle and sole depth." in said
        assert "The warnings before cutting do not know of it." in said
    row = PicturePoints.objects.get()
    written(cast, row, now, "sole_depth")
    assert "Not written down as a reading: palmar angle." in films(cast, exam)
    written(cast, row, now, "palmar_angle")
    assert "Not written down" not in films(cast, exam)


def test_a_colleague_who_read_the_numbers_here_places_none_blind(cast: Cast, now: datetime) -> None:
    exam, film = filmed(cast, now)
    colleague = as_(second_vet(cast))
    path = f"/cases/{cast.case.public_id}/pictures/{film.public_id}/points/"
    sent = {f"p-{name}": f"{x},{y}" for name, (x, y) in FILM_POINTS.items()}
    sent["marker_mm"] = "50"
    colleague.post(path, sent)
    colleague.get(f"/cases/{cast.case.public_id}/exams/{exam.public_id}/")
    colleague.post(path, sent)
    by = PicturePoints.objects.filter(placed_by=cast.other_vet).order_by("pk")
    assert list(by.values_list("blind", flat=True)) == [True, False]


def test_ones_own_numbers_leave_one_as_blind_as_before(cast: Cast, now: datetime) -> None:
    exam, _ = filmed(cast, now)
    for who in (cast.vet, cast.farrier):
        answer = as_(who).get(f"/cases/{cast.case.public_id}/exams/{exam.public_id}/")
        assert "points-seen" not in str(answer.cookies)


# -- taken along


def test_a_copy_of_the_case_holds_the_numbers_of_its_films(cast: Cast, now: datetime) -> None:
    _, film = filmed(cast, now)
    parts = case_copy(CaseReading(cast.access(cast.owner), now)).parts
    found = {row["what"]: row for row in json.loads(json.dumps(parts["film_values"]))}
    assert found["sole_depth"]["value"] == pytest.approx(14, abs=0.1)
    assert (found["sole_depth"]["unit"], found["sole_depth"]["picture"]) == ("mm", film.public_id)
    assert found["palmar_angle"]["sd"] > 1
