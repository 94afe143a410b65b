"""What everybody on the team does: takes an invitation, answers on the plan."""

from playwright.sync_api import Locator, expect

from tests.browser.letters import invitation_link, jobs_run_all
from tests.browser.visitor import Visitor


def joins_by_the_mailed_link(person: Visitor) -> None:
    """New here: the link leads to signing up, and from there back to the invitation."""
    person.go(invitation_link(person.email))
    person.sees("asks you to join the team of Juniper", person.email)
    person.press("Make an account")
    person.sign_up_here()
    person.sees("Opening this page changed nothing.")
    person.press("Join the team")
    person.sees("Welcome to the team of Juniper.")
    jobs_run_all()


def agrees(person: Visitor, case_id: str, *numbers: int) -> None:
    """From the board in two taps: read, agree."""
    for number in numbers:
        person.go(f"/cases/{case_id}/")
        person.unfold()
        person.page.locator(".card.waiting", has_text=f"plan item {number}").get_by_role(
            "link", name="Read and agree"
        ).click()
        person.page.wait_for_url("**/plan/**")
        person.page.locator("#decide button.btn-main").click()
        person.sees("You agreed, for the")
    jobs_run_all()


def declines(person: Visitor, case_id: str, number: int, why: str) -> None:
    person.go(f"/cases/{case_id}/")
    plan_line(person, number).get_by_role("link").click()
    person.page.wait_for_url("**/plan/**")
    person.arrived()
    person.open("Ask for a change, or decline")
    person.tick("decision", "decline")
    person.press("Save my answer", status=422)  # the others want to know why
    person.fill(reason=why)
    person.press("Save my answer")
    person.sees("You declined, for the", why)
    jobs_run_all()


def plan_line(person: Visitor, number: int) -> Locator:
    """One item of the plan on the board."""
    person.unfold()
    start = person.page.locator("#plan .items > li").filter(
        has=person.page.get_by_role("heading", name=f"{number}. ")
    )
    expect(start).to_have_count(1)
    return start
