"""What somebody sees who comes to a page that is not theirs."""

from playwright.sync_api import expect

from tests.browser.conftest import Open
from tests.cast import Cast


def test_a_stranger_sees_the_page_for_nothing_here(enter: Open, cast: Cast) -> None:
    stranger = enter(cast.stranger)
    page = stranger.go(f"/cases/{cast.case.public_id}/", status=404)
    there = page.locator("main").inner_html()
    stranger.go("/cases/no-such-case/", status=404)
    assert page.locator("main").inner_html() == there
    stranger.sees_no("Juniper")


def test_the_wrong_role_is_told_whose_page_it_is(enter: Open, cast: Cast) -> None:
    owner = enter(cast.owner)
    owner.go(f"/cases/{cast.case.public_id}/exams/new/", status=403)
    owner.sees("is for the vet of this case")


def test_a_member_who_was_removed_sees_nothing(enter: Open, cast: Cast) -> None:
    removed = enter(cast.removed, looks=False)
    removed.go(f"/cases/{cast.case.public_id}/", status=404)
    removed.sees_no("Juniper")


def test_after_signing_in_one_comes_to_the_page_one_asked_for(visitor: Open, cast: Cast) -> None:
    owner = visitor(cast.owner.name, cast.owner.email, looks=False)
    asked_for = f"/cases/{cast.case.public_id}/"
    owner.go(asked_for)
    expect(owner.page.get_by_role("heading", level=1)).to_have_text("Sign in")
    owner.sign_in_here()
    assert owner.page.url == owner.base + asked_for
