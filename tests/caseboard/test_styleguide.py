"""The page of looks, for who works on the pages: it shows the parts as they are."""

from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.auth.models import AnonymousUser
from django.test import RequestFactory

from caseboard.styleguide import looks

SHOWN = (
    "row-matter",
    "fourfeet",
    "nextvisit",
    "side-view",
    "foot-panel",
    "nameplate",
    "entry-form",
)


@pytest.fixture
def page(rf: RequestFactory) -> str:
    request = rf.get("/looks/")
    request.user = AnonymousUser()
    return looks(request).content.decode()


@pytest.mark.parametrize("part", SHOWN)
def test_the_page_of_looks_shows(part: str, page: str) -> None:
    assert f'class="{part}' in page


def test_every_kind_of_row_and_of_foot_is_there(page: str) -> None:
    assert all(f" {kind}" in page for kind in ("is-now", "is-word"))
    assert all(f'data-tone="{tone}"' in page for tone in ("needs", "known", "calm", "blank"))


def test_the_words_it_names_are_words_of_the_style_sheets() -> None:
    css = "".join(p.read_text() for p in (settings.BASE_DIR / "caseboard/static/css").glob("*.css"))
    assert Path(settings.BASE_DIR).exists()
    for word in ("nameplate", "rows", "row-matter", "fourfeet", "nextvisit", "fold-body", "folds"):
        assert f".{word}" in css
