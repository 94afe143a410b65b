"""The same job in a browser that runs no scripts: flag, visit, answer, agree."""

from datetime import datetime, timedelta

from playwright.sync_api import expect

from tests.browser import farrier_does, owner_does, team_does, vet_does
from tests.browser.conftest import Open
from tests.browser.team_does import plan_line
from tests.browser.visitor import DESKTOP, PHONE
from tests.cast import Cast


def test_the_job_is_done_without_scripts(
    visitor: Open, cast: Cast, now: datetime, clock_stands: datetime
) -> None:
    case_id = cast.case.public_id
    owner = visitor(cast.owner.name, cast.owner.email, size=PHONE, scripts=False, looks=False)
    farrier = visitor(cast.farrier.name, cast.farrier.email, size=PHONE, scripts=False, looks=False)
    vet = visitor(cast.vet.name, cast.vet.email, size=DESKTOP, scripts=False, looks=False)
    for person in (owner, farrier, vet):
        person.sign_in()

    owner_does.flags_a_short_stride(owner, case_id)
    owner_does.flags_a_nail_in_the_sole(owner, case_id, phone=cast.horse.emergency_vet_phone)
    owner_does.writes_down_what_the_vet_said(owner)
    farrier_does.records_the_first_visit(farrier, case_id, now.date() - timedelta(days=49))
    farrier_does.records_the_second_visit(farrier, case_id)
    vet_does.answers_the_flag(vet, case_id, "Between the two of us.")
    vet_does.records_an_examination(vet, case_id)
    vet_does.sets_a_band(vet, case_id)
    vet_does.reads_the_alert_and_its_numbers(vet, case_id)
    team_does.agrees(owner, case_id, 1)
    team_does.declines(farrier, case_id, 1, "Too steep for this foot.")
    vet.go(f"/cases/{case_id}/")
    expect(plan_line(vet, 1)).to_contain_text("Not agreed yet: farrier declined.")
    farrier.press("Agree, for the farrier")
    farrier.go(f"/cases/{case_id}/")
    expect(plan_line(farrier, 1)).not_to_contain_text("Not agreed yet")
