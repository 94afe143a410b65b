"""The owner's part of the journey, a step a function. Each ends where the step ends in the barn."""

from playwright.sync_api import expect

from tests.browser.letters import jobs_run_all, letters_to
from tests.browser.visitor import Visitor

EMERGENCY = "0100 999 000"


def signs_up_and_adds_a_horse(owner: Visitor) -> str:
    """Returns the id of the board that the new horse has."""
    owner.sign_up()
    owner.press("Add a horse")
    owner.fill(name="Juniper", emergency_vet_phone=EMERGENCY, emergency_vet_name="Night practice")
    owner.press("Add this horse")
    owner.sees("Juniper", "nobody yet", EMERGENCY)
    return owner.case_id


def signs_in_again_and_finds_the_board(owner: Visitor) -> None:
    owner.press("Sign out", inside="footer")
    owner.sign_in()
    owner.sees("Your horses", "Juniper")
    owner.page.locator("main a", has_text="Juniper").first.click()
    owner.page.wait_for_url("**/cases/**")


def asks_to_join(owner: Visitor, case_id: str, email: str, role: str) -> None:
    owner.go(f"/cases/{case_id}/")
    owner.press("The team: invite, remove")
    owner.press("Ask somebody to join")
    owner.fill(email=email)
    owner.tick("role", role)
    owner.press("Send the invitation")
    owner.sees(email, "Asked, not answered yet")


def flags_a_short_stride(owner: Visitor, case_id: str) -> None:
    """Not urgent: no call to the vet is put before the owner."""
    owner.go(f"/cases/{case_id}/")
    owner.press("Something’s not right")
    owner.tick("signs", "short_stride", "stumbling")
    owner.tick("feet", "LF")
    owner.tick("since", "yesterday")
    owner.fill(words="Short on the left fore since we were on the road.")
    expect(owner.page.locator("[data-call-now]")).to_be_hidden()
    owner.sees("Who will read this")
    owner.press("Write it down and tell the team")
    owner.sees("Written down.", "Short stride, Stumbles", "Left fore")
    jobs_run_all()


def flags_a_nail_in_the_sole(owner: Visitor, case_id: str, *, phone: str = EMERGENCY) -> None:
    """Urgent: says to call the vet before it is sent, where scripts run, and after in any case."""
    owner.go(f"/cases/{case_id}/flags/new/")
    owner.tick("urgent_signs", "in_sole")
    if owner.scripts:
        call = owner.page.locator("[data-call-now]")
        expect(call).to_be_visible()
        expect(call).to_contain_text("Do not pull it out")
    owner.tick("feet", "RH")
    owner.press("Write it down and tell the team")
    called = owner.page.get_by_role("region", name="Call your vet now")
    expect(called.get_by_role("heading")).to_have_text("Call your vet now")
    expect(called.locator("a.phone").first).to_have_attribute(
        "href", "tel:" + phone.replace(" ", "")
    )
    owner.sees("Do not pull it out", "This does not reach your vet by itself: phone.")
    jobs_run_all()


def writes_down_what_the_vet_said(owner: Visitor) -> None:
    """On the page of the urgent flag, right after the phone call."""
    owner.page.locator("#phoned [name=words]").fill("Comes at once. Leave it in, do not move her.")
    owner.press("Save what the vet said")
    owner.sees("wrote down what the vet said on the phone", "closed the flag", "Answered.")


def reads_that_the_vet_answered_but_not_the_words(owner: Visitor, case_id: str, words: str) -> None:
    owner.go(f"/cases/{case_id}/")
    owner.sees_no(words)
    owner.go(f"/cases/{case_id}/history/")
    owner.sees("Vera Vet")
    owner.sees_no(words)
    assert all(words not in letter.body for letter in letters_to(owner.email))
