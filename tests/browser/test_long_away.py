"""A day without a network, then a thin line for a moment: what matters most has gone out first.

`CASEBOARD_AWAY=long` is the long form: 12 visits, 24 pictures, three minutes of 100 kbit/s.
"""

import io
import os
import random
import time
from dataclasses import dataclass
from datetime import datetime, timedelta

import pytest
from PIL import Image
from playwright.sync_api import expect

from caseboard.lib import clock
from horses.models import Case, Flag, Picture, Role, Visit
from horses.services.horses import horse_create
from tests.browser.conftest import Open
from tests.browser.line import Line
from tests.browser.shelf import keep_opened
from tests.browser.test_drafts import here, waiting
from tests.browser.visit_form import fills
from tests.browser.visitor import Visitor
from tests.cast import Cast, join

THIN_BYTES_S = 100_000 // 8
AWAY = timedelta(hours=10)


@dataclass(frozen=True)
class Day:
    visits: int
    flags: int  # with two pictures each
    side_px: int
    line_s: float  # how long the line is there; 0: until all is sent


LONG, SHORT = Day(12, 12, 900, 180), Day(2, 2, 300, 0)


def pictures(word: str, side_px: int) -> list[dict[str, object]]:
    """Two, with the grain of a photo, so that they weigh what one does."""
    chance = random.Random(word)
    found: list[dict[str, object]] = []
    for number in range(2):
        grain = Image.frombytes("RGB", (60, 60), chance.randbytes(60 * 60 * 3))
        made = io.BytesIO()
        grain.resize((side_px, side_px), Image.Resampling.BICUBIC).save(made, "JPEG", quality=80)
        name = f"{word}-{number}.jpg"
        found.append({"name": name, "mimeType": "image/jpeg", "buffer": made.getvalue()})
    return found


def horses(cast: Cast, count: int, now: datetime) -> list[Case]:
    made = []
    for number in range(count):
        fields = {"name": f"Away {number:02d}", "emergency_vet_phone": "0100 999"}
        at = now - timedelta(days=30)
        case = Case.objects.get(horse=horse_create(person=cast.owner, fields=fields, now=at))
        join(case, cast.farrier, Role.FARRIER, at)
        made.append(case)
    return made


def test_after_a_day_without_a_network_urgent_goes_first_and_pictures_last(
    enter: Open, cast: Cast, line: Line, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The worker's clock cannot be set: the morning is now, and the evening ten hours from now.
    morning = clock.now()
    day = LONG if os.environ.get("CASEBOARD_AWAY") == "long" else SHORT
    cases = horses(cast, day.visits, now)
    farrier = enter(cast.farrier, by=line, looks=False)
    farrier.watch.lost_on_purpose = True
    farrier.page.clock.set_fixed_time(morning)
    keep_opened(farrier)
    keep_opened(farrier, "/me/waiting/")
    flagged = cases[: day.flags]
    for case in cases:
        keep_opened(farrier, f"/cases/{case.public_id}/visits/new/")
    for case in flagged:
        keep_opened(farrier, f"/cases/{case.public_id}/flags/new/")

    line.cut()
    steps = len(cases) + 1
    for number, case in enumerate(cases):
        farrier.page.clock.set_fixed_time(morning + AWAY * number / steps)
        if number < day.flags:
            flag(farrier, case, day.side_px)
        visit(farrier, case)
    farrier.page.clock.set_fixed_time(morning + AWAY)
    monkeypatch.setattr("caseboard.lib.clock.now", lambda: morning + AWAY)
    urgent(farrier, cases[-1] if cases[-1] in flagged else flagged[-1])
    count = len(cases) + len(flagged) + 1
    waiting(farrier, count)

    asked = len(line.asked)
    line.bytes_a_second = THIN_BYTES_S if day.line_s else 0
    line.be("through")
    farrier.page.evaluate("void window.drafts.now()")
    if day.line_s:
        time.sleep(day.line_s)
        line.cut()
        time.sleep(1)
    else:
        farrier.until("window.drafts.now()")
        left = farrier.page.evaluate(LEFT)
        assert left == {}, farrier.page.evaluate(WHY)
    order = [kind(one) for one in line.asked[asked:] if one.startswith("POST /cases/")]
    print(" ".join(order))
    print(
        f"on the board: {Flag.objects.filter(urgency='now').count()} urgent, "
        f"{Visit.objects.filter(status='kept').count()} visits, {Flag.objects.count() - 1} flags, "
        f"{Picture.objects.count()} of {2 * day.flags} pictures; still in the phone: "
        f"{farrier.page.evaluate(LEFT)}"
    )
    assert order[0] == "flags"
    assert Flag.objects.order_by("pk").values_list("urgency", flat=True)[0] == "now"
    words = [one for one in order if one != "photos"]
    assert order == words + ["photos"] * (len(order) - len(words)), order
    assert Visit.objects.filter(status="kept").count() == len(cases)

    line.bytes_a_second = 0
    line.be("through")
    farrier.until("window.drafts.now()")
    waiting(farrier, 0)
    assert Picture.objects.count() == 2 * day.flags
    assert Flag.objects.count() == day.flags + 1
    assert Visit.objects.filter(status="kept").count() == len(cases)


WHY = """window.drafts.list().then((all) => all.map((one) => [one.kind, one.horse, one.state, one.last?.status,
  new DOMParser().parseFromString(one.last?.html ?? "", "text/html").querySelector(".form-errors")?.textContent.replace(/\\s+/g, " "), one.shown[0]]))"""
LEFT = """window.drafts.list().then((all) => all.map((one) => one.kind).reduce(
  (sum, one) => ({ ...sum, [one]: (sum[one] ?? 0) + 1 }), {}))"""


def kind(asked: str) -> str:
    """What a request sends: "flags", "visits" or "photos"."""
    parts = asked.split(" ")[1].split("/")
    return "photos" if "photos" in parts else parts[3]


def flag(who: Visitor, case: Case, side_px: int) -> None:
    who.go(f"/cases/{case.public_id}/flags/new/")
    who.tick("signs", "heat")
    who.page.set_input_files("[name=photos]", pictures(case.public_id, side_px))  # type: ignore[arg-type]
    send(who, "Write it down and tell the team")


def urgent(who: Visitor, case: Case) -> None:
    who.go(f"/cases/{case.public_id}/flags/new/")
    who.tick("urgent_signs", "in_sole")
    send(who, "Write it down and tell the team")


def visit(who: Visitor, case: Case) -> None:
    who.go(f"/cases/{case.public_id}/visits/new/")
    fills(who, "fronts-bare").click()
    fills(who, "hinds-bare").click()
    send(who, "Save the visit")


def send(who: Visitor, button: str) -> None:
    who.control(button).click()
    expect(here(who)).to_be_visible()
