"""A case taken along as a file: all that the person may read, and nothing that they may not."""

import csv
import io
import json
import zipfile
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from caseboard.case_reading import CaseReading
from caseboard.export.zip import cell, table
from horses.models import HistoryLine, Membership, Person, SheetPaper
from horses.services.shoes import shoe_back
from tests import build
from tests.horses.doors import text_of
from tests.stage import JPEG, Stage


@pytest.fixture(autouse=True)
def _no_counts_yet(db: None, clock_stands: datetime) -> None:
    cache.clear()


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def opened(response: Any) -> zipfile.ZipFile:
    return zipfile.ZipFile(io.BytesIO(response.getvalue()))


def take(stage: Stage, role: str) -> zipfile.ZipFile:
    path = reverse("case_export", args=[stage.cast.concern.public_id])
    return opened(signed_in(stage.person(role)).post(path))


def everything(archive: zipfile.ZipFile) -> str:
    return "".join(archive.read(name).decode(errors="replace") for name in archive.namelist())


def test_the_copy_holds_every_part_of_the_case(stage: Stage) -> None:
    archive = take(stage, "vet")
    held = json.loads(archive.read("case.json"))
    assert held["horse"]["name"] == "Juniper"
    assert {row["entered_text"] for row in held["readings"]} == {"51"}
    assert held["notes"][0]["body"] == "For the whole team."
    assert "Short on stones" in {flag["words"] for flag in held["flags"]}
    assert held["examinations"][0]["feet"][0]["foot"] == "LF"
    assert held["soundness"][0]["grade"] == 2
    assert {visit["planned_on"] for visit in held["visits"]} == {
        "2026-11-11",
        "2026-10-30",
        None,
    }
    assert held["plan"][0]["versions"][0]["text"] == "Soft ground only."
    assert held["alerts_now"][0]["title"] == "A test alert"
    assert {m["name"] for m in held["team"]} >= {"Ola Owner", "Vera Vet", "Finn Farrier"}
    assert len(held["history"]) == HistoryLine.objects.filter(case=stage.cast.concern).count()
    assert "Numbers do not see pain" in archive.read("README.txt").decode()


def test_the_issued_sheets_and_the_lost_shoes_are_in_it(stage: Stage, now: datetime) -> None:
    SheetPaper.objects.create(
        sheet=stage.sheet,
        paper="a4",
        pdf=b"%PDF-1.7 printed",
        sha256="0",
        left_off=[],
        drawn_at=now,
    )
    archive = take(stage, "farrier")
    held = json.loads(archive.read("case.json"))
    assert [(c["foot"], c["kind"]) for c in held["shoe_changes"]] == [("RH", "lost")]
    assert held["sheets_issued"][0]["number"] == 1
    assert held["sheets_issued"][0]["content"]
    assert archive.read("sheets/sheet-1-a4.pdf") == b"%PDF-1.7 printed"


def test_what_was_said_of_a_shoe_on_another_board_stays_there(stage: Stage, now: datetime) -> None:
    cast = stage.cast
    elsewhere = cast.access(cast.owner, cast.case)
    flag = build.flag(elsewhere, now, "lost_shoe", feet=["LF"])
    shoe_back(
        access=elsewhere,
        flag_id=flag.public_id,
        kind="back",
        feet=["LF"],
        on=now.date(),
        words="Found by the secret gate",
        now=now,
    )
    archive = take(stage, "owner")
    held = json.loads(archive.read("case.json"))
    assert ("LF", "back") in {(c["foot"], c["kind"]) for c in held["shoe_changes"]}
    assert "secret gate" not in json.dumps(held["shoe_changes"])


def test_tables_and_pictures_lie_beside_it(stage: Stage) -> None:
    archive = take(stage, "owner")
    rows = list(csv.DictReader(io.StringIO(archive.read("readings.csv").decode("utf-8-sig"))))
    assert [row["foot"] for row in rows] == ["LH", "RF", "LF"]
    assert archive.read(f"photos/{stage.photo.public_id}.jpg") == JPEG


def test_a_photo_blanked_out_is_not_in_it(stage: Stage, now: datetime) -> None:
    from horses.services.pictures import picture_blank

    picture_blank(
        access=stage.access("owner"),
        picture_id=stage.photo.public_id,
        reason="A person",
        now=now,
    )
    names = take(stage, "owner").namelist()
    assert f"photos/{stage.photo.public_id}.jpg" not in names


def test_a_picture_lost_from_the_disk_does_not_keep_the_rest_back(stage: Stage) -> None:
    stage.photo.file.storage.delete(str(stage.photo.file.name))
    archive = take(stage, "owner")
    assert f"photos/{stage.photo.public_id}.jpg.missing.txt" in archive.namelist()


def test_the_team_reads_in_the_history_that_a_copy_was_taken(stage: Stage) -> None:
    take(stage, "farrier")
    line = HistoryLine.objects.filter(case=stage.cast.concern).last()
    assert line is not None
    assert (line.verb, line.actor_name) == ("case.exported", "Finn Farrier")


def test_looking_at_the_page_takes_no_copy(stage: Stage) -> None:
    path = reverse("case_export", args=[stage.cast.concern.public_id])
    assert "Take the copy" in text_of(signed_in(stage.cast.vet).get(path))
    assert not HistoryLine.objects.filter(verb="case.exported").exists()


def test_a_while_after_the_sign_in_a_fresh_code_is_asked(
    stage: Stage, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = signed_in(stage.cast.vet)
    monkeypatch.setattr("caseboard.lib.clock.now", lambda: now + timedelta(minutes=11))
    path = reverse("case_export", args=[stage.cast.concern.public_id])
    assert "Is it still you?" in text_of(client.post(path))
    assert not HistoryLine.objects.filter(verb="case.exported").exists()


def test_copies_are_taken_only_so_often(stage: Stage, settings: Any) -> None:
    settings.LIMIT_COPIES = 1
    client = signed_in(stage.cast.vet)
    path = reverse("case_export", args=[stage.cast.concern.public_id])
    assert [client.post(path).status_code for _ in range(2)] == [200, 429]


def test_the_number_of_queries_does_not_grow_with_the_case(
    stage: Stage, now: datetime, django_assert_max_num_queries: Any
) -> None:
    from caseboard.export.case_copy import case_copy

    for number in range(12):
        build.note(stage.access("vet"), now, f"Note {number}")
        build.reading(stage.access("vet"), now, "LF", "toe_angle", 51, now.date())
    access = stage.access("vet")
    with django_assert_max_num_queries(77):
        case_copy(CaseReading(access, now))


# -- one's own records of a case one has left


def leave(stage: Stage, role: str, now: datetime) -> None:
    Membership.objects.filter(person=stage.person(role), case=stage.cast.concern).update(
        left_at=now
    )


def own(stage: Stage, role: str) -> Any:
    path = reverse("former_copy", args=[stage.cast.concern.public_id])
    return signed_in(stage.person(role)).post(path)


def test_who_left_takes_what_they_recorded_and_nothing_else(stage: Stage, now: datetime) -> None:
    build.note(stage.access("vet"), now, "By the vet, for the vet.", {"vet"})
    build.note(stage.access("owner"), now, "By the owner.")
    leave(stage, "vet", now)
    archive = opened(own(stage, "vet"))
    held = json.loads(archive.read("own.json"))
    assert [note["body"] for note in held["notes"]] == [
        "For the whole team.",
        "By the vet, for the vet.",
    ]
    assert [row["foot"] for row in held["readings"]] == ["RF"]
    assert held["examinations"][0]["words"] == "Mild in front."
    assert held["plan_versions_proposed"][0]["text"] == "Soft ground only."
    text = everything(archive)
    for theirs in ("By the owner.", "Short on stones", "Ola Owner", "Finn Farrier", "A test alert"):
        assert theirs not in text, theirs


def test_the_owner_keeps_their_flags_and_photos(stage: Stage, now: datetime) -> None:
    leave(stage, "owner", now)
    archive = opened(own(stage, "owner"))
    flags = json.loads(archive.read("own.json"))["flags"]
    assert "Short on stones" in {flag["words"] for flag in flags}
    assert archive.read(f"photos/{stage.photo.public_id}.jpg") == JPEG


def test_what_was_measured_on_another_case_of_the_horse_is_not_in_it(
    stage: Stage, now: datetime
) -> None:
    leave(stage, "vet", now - timedelta(hours=1))
    routine = stage.cast.access(stage.cast.vet, stage.cast.case)
    build.reading(routine, now, "LF", "toe_angle", 49, now.date())
    held = json.loads(opened(own(stage, "vet")).read("own.json"))
    assert [row["entered_text"] for row in held["readings"]] == ["51"]


def test_the_page_lists_the_cases_left_and_only_those(stage: Stage, now: datetime) -> None:
    client = signed_in(stage.cast.vet)
    page = reverse("former_cases")
    assert "None." in text_of(client.get(page))
    leave(stage, "vet", now)
    text = text_of(client.get(page))
    assert "Juniper: Left fore" in text
    assert "Standing care" not in text


def test_who_is_on_the_case_or_never_was_has_no_such_copy(stage: Stage) -> None:
    assert own(stage, "vet").status_code == 404
    assert own(stage, "other_vet").status_code == 404


def test_who_came_back_takes_the_whole_copy_instead(stage: Stage, now: datetime) -> None:
    leave(stage, "vet", now)
    Membership.objects.create(
        case=stage.cast.concern, person=stage.cast.vet, role="vet", joined_at=now
    )
    assert own(stage, "vet").status_code == 404
    assert take(stage, "vet").namelist()


# -- what a spreadsheet makes of it


@pytest.mark.parametrize(
    "text", ["=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "＝1", "-", "+1+1"]
)
def test_nothing_typed_becomes_a_formula(text: str) -> None:
    assert cell(text) == f"'{text}"


@pytest.mark.parametrize(
    ("value", "text"), [(-2.5, "-2.5"), ("-2.5", "-2.5"), (None, ""), ("a", "a")]
)
def test_numbers_and_words_stay_what_they_are(value: object, text: str) -> None:
    assert cell(value) == text


def test_a_table_keeps_every_letter(db: None) -> None:
    words = 'Ä "quote", line\nbreak'
    [row] = csv.DictReader(io.StringIO(table([{"words": words}]).decode("utf-8-sig")))
    assert row["words"] == words
