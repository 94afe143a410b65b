"""The farrier's part of the journey: two visits, written up beside the horse."""

from datetime import date

from playwright.sync_api import expect

from tests.browser.letters import jobs_run_all
from tests.browser.visit_form import add_row, fills, open_day, open_more, open_pair, same, val
from tests.browser.visitor import Visitor


def records_the_first_visit(farrier: Visitor, case_id: str, on: date) -> None:
    """Values with a comma, a point and a fraction, before and after; work on each foot."""
    farrier.go(f"/cases/{case_id}/")
    farrier.press("Record visit")
    open_day(farrier)
    farrier.fill(kept_on=on.isoformat())
    add_row(farrier, "toe_angle-before")
    measures(farrier, "LF", before="49,5", after="51.5", length="8 1/4")
    measures(farrier, "RF", before="50.5", after="52", length="8,1")
    fills(farrier, "fronts-new").click()
    fills(farrier, "hinds-bare").click()
    open_pair(farrier, "fronts")
    farrier.field("LF-words").fill("Rolled the toe.")
    farrier.fill(words="First time for me. Both fores shod.")
    farrier.press("Save the visit")
    farrier.sees("The visit is saved with 6 readings.", "51.5°", "Rolled the toe.")
    jobs_run_all()


def records_the_second_visit(farrier: Visitor, case_id: str) -> None:
    """What was measured last stands beside each field; the left fore has changed much."""
    farrier.go(f"/cases/{case_id}/visits/new/")
    open_more(farrier)
    for name, last in (
        ("LF-toe_angle-before", "49.5°"),
        ("LF-toe_angle-after", "51.5°"),
        ("LF-toe_length-after", "8.25 cm"),
    ):
        if farrier.scripts:
            expect(same(farrier, name)).to_contain_text(f"same: {last}")
        else:
            expect(val(farrier, name)).to_contain_text(f"was {last}")
    measures(farrier, "LF", before="43.5", after="44,5", length="8.6")
    measures(farrier, "RF", before="50", after="51.8", length="8.2")
    fills(farrier, "fronts-reset").click()
    farrier.fill(words="The left fore came back lower.")
    farrier.press("Save the visit")
    farrier.sees("The visit is saved with 6 readings.", "44.5°")
    jobs_run_all()


def measures(farrier: Visitor, foot: str, *, before: str, after: str, length: str) -> None:
    farrier.field(f"{foot}-toe_angle-before").fill(before)
    farrier.field(f"{foot}-toe_angle-after").fill(after)
    farrier.field(f"{foot}-toe_length-after").fill(length)
