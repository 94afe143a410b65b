"""A herd of many pages: which horses these are, the way to the others, the filter kept."""

import re
from datetime import datetime, timedelta

import pytest
from django.test import Client

from horses.models import Case, Horse, Membership, Role
from horses.views import horses as horses_view
from tests import build
from tests.cast import Cast
from tests.horses.doors import text_of

pytestmark = pytest.mark.usefixtures("clock_stands")


@pytest.fixture
def many(cast: Cast, now: datetime, monkeypatch: pytest.MonkeyPatch) -> Cast:
    """Ten horses named A to J more, at two places, five to a page; all calm but I, J and Juniper."""
    monkeypatch.setattr(horses_view, "HERD_PAGE", 5)
    for letter in "ABCDEFGHIJ":
        horse = Horse.objects.create(
            name=f"Horse {letter}", yard=f"Yard {ord(letter) % 2}", created_at=now
        )
        case = Case.objects.create(
            horse=horse, kind="routine", title="Standing care", opened_at=now, opened_by=cast.owner
        )
        Membership.objects.create(case=case, person=cast.owner, role=Role.OWNER, joined_at=now)
        if letter in "IJ":
            build.flag(cast.access(cast.owner, case), now)
    build.flag(cast.access(cast.owner), now, "in_sole")
    return cast


def page(cast: Cast, address: str = "") -> str:
    client = Client()
    client.force_login(cast.owner)
    return text_of(client.get(f"/horses/{address}"))


def test_a_search_goes_with_the_way_to_more_horses(many: Cast) -> None:
    text = page(many, "?q=horse")
    assert "1-5 of 10" in text
    assert way(text, "next") == "?q=horse&view=lines&page=2"


def horses_on(text: str) -> str:
    """The letters of the horses, in the order of the page; * for Juniper."""
    names = re.findall(r">(?:Horse (\w)|(Juniper))</a>", text)
    return "".join(letter or "*" for letter, _ in names)


def way(text: str, rel: str) -> str:
    found = re.search(rf'rel="{rel}" href="([^"]*)"', text)
    return found[1].replace("&amp;", "&") if found else ""


def test_the_pages_follow_each_other_and_every_horse_is_on_one(many: Cast) -> None:
    seen: list[str] = []
    address = ""
    while not seen or address:
        text = page(many, address)
        seen.append(horses_on(text))
        address = way(text, "next")
    assert seen == ["*IJAB", "CDEFG", "H"]


def test_it_says_which_horses_these_are(many: Cast) -> None:
    assert "1-5 of 11" in page(many)
    assert "6-10 of 11" in page(many, "?page=2")


def test_the_headings_count_all_horses_and_not_those_of_the_page(many: Cast) -> None:
    first, last = page(many), page(many, "?page=3")
    assert 'Needs someone <span class="count">3<' in first
    assert 'The others <span class="count">8<' in first
    assert 'The others <span class="count">8<' in last
    assert "Needs someone <" not in last


def test_the_way_to_more_horses_keeps_the_filter_and_how_they_are_shown(many: Cast) -> None:
    text = page(many, "?shoes=other&need=someone&view=lines")
    assert horses_on(text) == "*IJ"
    assert way(text, "next") == ""
    text = page(many, "?shoes=other&view=lines&page=2")
    assert way(text, "prev") == "?shoes=other&view=lines&page=1"
    assert way(text, "next") == "?shoes=other&view=lines&page=3"
    assert horses_on(page(many, "?yard=Yard+1")) == "IACEG"


def test_a_filter_that_is_changed_begins_with_the_first_page(many: Cast) -> None:
    text = page(many, "?page=2")
    form = text[text.index('<form class="herd-form"') :].split("</form>")[0]
    assert 'name="page"' not in form


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ("0", "11-11 of 11"),
        ("99", "11-11 of 11"),
        ("-3", "11-11 of 11"),
        ("x", "1-5 of 11"),
        ("9" * 5000, "1-5 of 11"),
        ("", "1-5 of 11"),
        ("2", "6-10 of 11"),
    ],
)
def test_a_page_that_is_not_there_leads_to_one_that_is(many: Cast, asked: str, words: str) -> None:
    assert words in page(many, f"?page={asked}")


def test_a_herd_of_one_page_says_nothing_of_pages(cast: Cast) -> None:
    assert "Pages of your horses" not in page(cast)


def test_how_a_horse_is_shod_stands_on_every_page(many: Cast, now: datetime) -> None:
    case = Case.objects.get(horse__name="Horse H")
    Membership.objects.create(case=case, person=many.farrier, role=Role.FARRIER, joined_at=now)
    day = (now - timedelta(days=2)).date()
    build.visit(many.access(many.farrier, case), now, day)
    assert "shod all round" in page(many, "?page=3")
    assert horses_on(page(many, "?shoes=all")) == "H"
