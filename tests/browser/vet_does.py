"""The vet's part of the journey: an answer, an examination, a band, the plan."""

from playwright.sync_api import expect

from horses.domain.wording import TEAM
from tests.browser.letters import jobs_run_all
from tests.browser.team_does import plan_line
from tests.browser.visitor import Visitor


def answers_the_flag(vet: Visitor, case_id: str, words: str) -> None:
    """For vet and farrier only; who that is stands there before it is saved."""
    vet.go(f"/cases/{case_id}/")
    vet.press("Short stride, Stumbles")
    vet.page.locator("#answer [name=words]").fill(words)
    vet.tick("audience", "farrier,vet")
    chosen = vet.page.locator("#answer .choice", has=vet.page.locator("[value='farrier,vet']"))
    for readers in ("Will be read by: Finn Farrier (farrier)", "Vera Vet (vet)", "Not the owner"):
        expect(chosen).to_contain_text(readers)
    vet.press("Save the answer")
    # The owner, who raised it, has been told nothing yet.
    vet.sees("Read by farrier and vet only.", words, "Still open.")
    jobs_run_all()


def answers_everyone(vet: Visitor, case_id: str, words: str) -> None:
    """What the owner reads too: that closes the flag."""
    vet.go(f"/cases/{case_id}/")
    vet.press("Short stride, Stumbles")
    vet.page.locator("#answer [name=words]").fill(words)
    vet.tick("audience", TEAM)
    vet.press("Save the answer")
    vet.sees(words, "Answered.")
    jobs_run_all()


def records_an_examination(vet: Visitor, case_id: str) -> None:
    vet.go(f"/cases/{case_id}/")
    vet.press("Record an examination")
    vet.sees("hard to see at the walk or the straight trot")
    vet.tick("aaep", "2")
    vet.fill(surface="hard, left circle", words="Better on soft ground.")
    vet.field("LF_pulse").select_option("1")
    vet.field("LF_testers").select_option("mild")
    vet.field("LF_where").fill("inner toe")
    vet.press("Save the examination")
    vet.sees("2", "AAEP", "inner toe", "Better on soft ground.")
    jobs_run_all()


def sets_a_band(vet: Visitor, case_id: str) -> None:
    """For the left fore toe angle just after the trim: it becomes the first item of the plan."""
    vet.go(f"/cases/{case_id}/")
    vet.press("Set target")
    vet.tick("foot", "LF")
    vet.fill(low="50", high="54", reason="The axis is straight on the films at 52.")
    vet.press("Set the target")
    jobs_run_all()
    vet.go(f"/cases/{case_id}/")
    vet.sees("50 to 54°")
    expect(plan_line(vet, 1)).to_contain_text("under the vet’s direction")


def proposes(vet: Visitor, case_id: str, kind: str, who: str, text: str) -> None:
    vet.go(f"/cases/{case_id}/plan/new/")
    vet.tick("kind", kind)
    vet.fill(text=text, reason="To take load off the toe.")
    vet.tick("who_does", who)
    vet.sees("Who will read this")
    vet.press("Propose it")
    vet.sees("You have agreed to it; the others are asked.", text)
    jobs_run_all()


def changes_an_item(vet: Visitor, case_id: str, number: int, text: str) -> None:
    """A new version: what was agreed to the old one does not count."""
    vet.go(f"/cases/{case_id}/")
    plan_line(vet, number).get_by_role("link").click()
    vet.page.wait_for_url("**/plan/**")
    vet.press("Change this item")
    vet.sees("Saving makes a new version.")
    vet.fill(text=text)
    vet.press("Save as a new version")
    vet.sees("Saved as a new version.", "version 2", text)
    jobs_run_all()


def reads_the_alert_and_its_numbers(vet: Visitor, case_id: str) -> None:
    """On the board as a sentence; behind it the readings it rests on. Answers it."""
    vet.go(f"/cases/{case_id}/")
    vet.unfold()
    raised = vet.page.locator("article.alert", has_text="toe angle").first
    expect(raised).to_contain_text("50 to 54")
    raised.get_by_role("link", name="Which numbers, and answer").click()
    vet.page.wait_for_url("**/alerts/**")
    vet.arrived()
    vet.sees("44.5", "A prompt to talk, not a diagnosis.", "What it rests on")
    vet.fill(words="Films on Monday before anybody trims again.")
    vet.press("Save the answer")
    vet.sees("Films on Monday before anybody trims again.")
    jobs_run_all()
