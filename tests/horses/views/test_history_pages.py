"""The history: what each person may read of it, newest first, by person, kind and day."""

from datetime import datetime, timedelta
from typing import Any

import pytest

from horses.models import CaseSeen
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = pytest.mark.usefixtures("clock_stands")


def page_of(cast: Cast, reader: str = "owner", /, **query: Any) -> str:
    return text_of(Door(getattr(cast, reader), cast.case).get("history", **query))


@pytest.fixture
def busy(cast: Cast, now: datetime) -> Cast:
    """A flag four days ago, a note three days ago, a plan item two days ago."""
    build.flag(cast.access(cast.owner), now - timedelta(days=4), "heat", words="Warm foot.")
    build.note(cast.access(cast.vet), now - timedelta(days=3), "Films on Monday.")
    build.plan_item(cast.access(cast.farrier), now - timedelta(days=2), text="Soft ground.")
    return cast


def test_each_line_is_a_plain_sentence_newest_first(busy: Cast) -> None:
    page = page_of(busy)
    assert page.index("proposed plan item 1") < page.index("wrote a note")
    assert page.index("wrote a note") < page.index("said something is not right")
    assert "One foot warmer than the others, left fore" in page
    assert "Warm foot." in page
    assert "put Juniper on the board" in page


def test_everyone_on_the_team_reads_it(busy: Cast) -> None:
    for who in ("owner", "farrier", "stand_in", "vet", "carer"):
        assert "Films on Monday." in page_of(busy, who)


def test_a_line_for_part_of_the_team_is_read_by_that_part(cast: Cast, now: datetime) -> None:
    build.note(cast.access(cast.vet), now, "CANARY-line", audience=("farrier", "vet"))
    readers = {"vet": True, "farrier": True, "stand_in": True, "owner": False, "carer": False}
    for who, reads in readers.items():
        page = page_of(cast, who)
        assert ("CANARY-line" in page) is reads, who
        assert ("Read by farrier and vet only." in page) is reads


def test_a_scoped_line_is_not_counted_for_those_who_may_not_read_it(
    cast: Cast, now: datetime
) -> None:
    before = page_of(cast, "owner", kind="notes")
    build.note(cast.access(cast.vet), now, "CANARY", audience=("vet",))
    assert "Nothing found." in before
    assert "Nothing found." in page_of(cast, "owner", kind="notes")
    assert "1 line found" in page_of(cast, "vet", kind="notes")


def test_a_search_never_finds_what_one_may_not_read(cast: Cast, now: datetime) -> None:
    build.note(cast.access(cast.vet), now, "CANARY", audience=("vet",))
    for query in ({"who": cast.vet.public_id}, {"kind": "notes"}, {"since": "2026-11-01"}):
        assert "CANARY" not in page_of(cast, "owner", **query)


def test_people_who_only_wrote_what_one_may_not_read_are_not_offered(
    cast: Cast, now: datetime
) -> None:
    build.note(cast.access(cast.vet), now, "CANARY", audience=("vet",))
    assert cast.vet.public_id not in page_of(cast, "owner")
    assert cast.vet.public_id in page_of(cast, "vet")


# -- looking for something


def test_by_person(busy: Cast) -> None:
    page = page_of(busy, who=busy.vet.public_id)
    assert "wrote a note" in page
    assert "said something is not right" not in page


def test_by_what_the_board_did_itself(busy: Cast, drain: Any) -> None:
    page = page_of(busy, who="board")
    assert "Nothing found." in page


@pytest.mark.parametrize(
    ("kind", "there", "not_there"),
    [
        ("flags", "said something", "wrote a note"),
        ("notes", "wrote a note", "said something"),
        ("plan", "proposed plan item", "wrote a note"),
        ("horse", "on the board", "wrote a note"),
    ],
)
def test_by_kind(busy: Cast, kind: str, there: str, not_there: str) -> None:
    page = page_of(busy, kind=kind)
    assert there in page
    assert not_there not in page


def test_by_day_both_ends_count_in(busy: Cast) -> None:
    page = page_of(busy, since="2026-10-30", until="2026-10-30")
    assert "wrote a note" in page
    assert "said something" not in page
    assert "proposed plan item" not in page


@pytest.mark.parametrize(
    "query",
    [
        {"who": "nobody"},
        {"who": "x\x00"},
        {"kind": "secrets"},
        {"since": "yesterday"},
        {"until": "2026-99-99"},
        {"since": "2026-11-02", "until": "2026-11-01"},
    ],
)
def test_what_cannot_be_looked_for_is_said_and_left_out(busy: Cast, query: dict[str, str]) -> None:
    response = Door(busy.owner, busy.case).get("history", **query)
    page = text_of(response)
    assert response.status_code == 200
    assert 'class="field-error"' in page


@pytest.mark.parametrize(
    "query",
    [
        {"since": "0001-01-01"},
        {"until": "9999-12-31"},
        {"since": "9999-12-31"},
        {"until": "0001-01-01"},
        {"page": "0"},
        {"page": "-1"},
        {"page": "x"},
        {"page": "9" * 5000},
        {"page": "\x00"},
        {"seen": "-1"},
        {"seen": "9" * 50},
        {"seen": "²"},
        {"unknown": "x"},
    ],
)
def test_no_address_breaks_the_page(busy: Cast, query: dict[str, str]) -> None:
    assert Door(busy.owner, busy.case).get("history", **query).status_code == 200


# -- pages of fifty, and what is new


def test_fifty_lines_a_page_with_links_that_keep_the_search(cast: Cast, now: datetime) -> None:
    for number in range(55):
        build.note(cast.access(cast.vet), now, f"Note {number}.")
    page = page_of(cast, kind="notes")
    assert page.count('<span class="when">') == 50
    assert "55 lines found, page 1 of 2." in page
    assert "?kind=notes&amp;page=2" in page
    second = page_of(cast, kind="notes", page="2")
    assert second.count('<span class="when">') == 5
    assert "Note 0." in second


def test_lines_since_the_last_visit_are_marked(busy: Cast, now: datetime) -> None:
    first = page_of(busy)
    assert "New since your last visit" not in first
    build.note(busy.access(busy.vet), now, "The newest.")
    page = page_of(busy)
    assert page.index("The newest.") < page.index("Above: new since your last visit")
    assert page.index("Above: new since your last visit") < page.index("proposed plan item")
    assert page.count("<b>new</b>") == 1


def test_having_read_it_moves_the_mark(busy: Cast, now: datetime) -> None:
    page_of(busy)
    build.note(busy.access(busy.vet), now, "The newest.")
    page_of(busy)
    assert "Above: new since your last visit" not in page_of(busy)


def test_a_search_does_not_count_as_having_read(busy: Cast) -> None:
    page_of(busy, kind="notes")
    assert not CaseSeen.objects.filter(person=busy.owner).exists()


def test_the_board_hands_on_how_far_one_had_read(busy: Cast) -> None:
    busy.case.refresh_from_db()
    page = page_of(busy, seen=str(busy.case.last_seq - 1))
    assert page.count("<b>new</b>") == 1


# -- doors


def test_the_doors(busy: Cast) -> None:
    for who in ("stranger", "removed", "other_vet", "invited", "staff"):
        assert Door(getattr(busy, who), busy.case).get("history").status_code == 404
    door = Door(busy.owner, busy.case)
    assert door.post("history").status_code == 405
    assert Door(busy.owner, busy.concern).get("history").status_code == 200


def test_lines_lead_to_what_they_tell_of(busy: Cast) -> None:
    page = page_of(busy)
    assert f"/cases/{busy.case.public_id}/flags/" in page
    assert f"/cases/{busy.case.public_id}/plan/" in page


def test_hostile_words_are_shown_as_text(cast: Cast, now: datetime) -> None:
    build.note(cast.access(cast.vet), now, "<img src=x onerror=alert(1)>")
    assert "<img src=x" not in page_of(cast)


def test_the_page_costs_the_same_however_long_it_is(
    busy: Cast, now: datetime, django_assert_max_num_queries: Any
) -> None:
    for number in range(20):
        build.note(busy.access(busy.vet), now, f"Note {number}.")
    door = Door(busy.owner, busy.case)
    with django_assert_max_num_queries(14):
        door.get("history")
