"""A paper that takes long is said to take long, and is there when the browser asks again."""

import threading

import pytest
from django.test import Client

from caseboard.lib.pdf.parent import PdfFailed
from caseboard.sheets import wait
from caseboard.sheets.render import Page
from caseboard.sheets.wait import is_under_way, page_or_none
from tests.cast import Cast

PAGE = Page(b"%PDF-", (), 1)


def test_a_page_that_is_done_in_time_is_given() -> None:
    assert page_or_none(("a",), lambda: PAGE) is PAGE
    assert not is_under_way(("a",))


def test_one_that_takes_longer_goes_on_and_is_there_the_next_time() -> None:
    may_end = threading.Event()
    drawn: list[int] = []

    def slowly() -> Page:
        may_end.wait(10)
        drawn.append(1)
        return PAGE

    assert page_or_none(("b",), slowly, wait_s=0.01) is None
    assert is_under_way(("b",))
    may_end.set()
    assert page_or_none(("b",), slowly) is PAGE
    assert drawn == [1]


def test_what_failed_is_said_and_tried_anew_the_next_time() -> None:
    def fails() -> Page:
        raise PdfFailed("no")

    with pytest.raises(PdfFailed):
        page_or_none(("c",), fails)
    assert page_or_none(("c",), lambda: PAGE) is PAGE


def test_another_persons_page_is_never_given() -> None:
    other = Page(b"%PDF-other", (), 1)
    page_or_none(("d", "one"), lambda: PAGE)
    assert page_or_none(("d", "two"), lambda: other) is other


def test_only_a_few_wait_at_a_time() -> None:
    may_end = threading.Event()
    for number in range(wait.MOST_KEPT + 5):
        page_or_none(("e", str(number)), lambda: may_end.wait(10) and PAGE or PAGE, wait_s=0)
    assert len(wait._under_way) <= wait.MOST_KEPT
    may_end.set()


@pytest.mark.django_db
def test_the_page_says_that_it_asks_again_by_itself(
    client: Client, cast: Cast, clock_stands: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("caseboard.views.sheet.page_or_none", lambda key, draw: None)
    client.force_login(cast.owner)
    answer = client.get(f"/cases/{cast.case.public_id}/sheet.pdf")
    assert answer.status_code == 202
    assert answer["Refresh"] == "4"
    assert b"asks again by itself" in answer.content
