"""The plan sheet printed from the browser says what the PDF says, and nothing of the site around it."""

import io
from datetime import datetime

import pypdf
import pytest

from caseboard.case_reading import CaseReading
from caseboard.lib.pdf.parent import pango_missing
from caseboard.sheets.plan_gather import sheet_for
from caseboard.sheets.plan_value import Sheet
from caseboard.sheets.render import sheet_page
from horses.models import Horse
from tests.browser.conftest import Open
from tests.browser.shown import show_everything
from tests.browser.visitor import DESKTOP, PHONE
from tests.cast import Cast

pytestmark = pytest.mark.skipif(bool(pango_missing()), reason="needs Pango")


def _said(sheet: Sheet) -> list[str]:
    """What three people need from the paper: who, numbers, bands, tasks, the next day."""
    values = [value for foot in sheet.feet for value in foot.values]
    parts = [sheet.horse_name, sheet.case_title, sheet.danger, sheet.next_visit]
    parts += [word for p in sheet.people for word in (p.name, p.phone)]
    parts += [sheet.emergency_phone, *sheet.open_points]
    parts += [
        word for v in values for word in (v.value, v.trend[1:], *(b.words[1:] for b in v.bands))
    ]
    parts += [word for item in sheet.items for word in (item.text, item.reason, item.until)]
    parts += [mark.who for item in sheet.items for mark in item.marks]
    return [" ".join(part.split()) for part in parts if part]


@pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desk"])
def test_the_printed_page_says_what_the_pdf_says_and_hides_the_site(
    enter: Open, cast: Cast, now: datetime, clock_stands: datetime, size: dict[str, int]
) -> None:
    Horse.objects.update(danger="Sits back when tied: hold, never tie.")
    show_everything(cast, now)
    sheet = sheet_for(CaseReading(cast.access(cast.owner, cast.concern), now))
    one = enter(cast.owner, size=size, looks=False)
    one.go(f"/cases/{cast.concern.public_id}/sheet/")
    one.page.emulate_media(media="print")
    printed = " ".join(one.page.locator("body").inner_text().split())
    pdf = pypdf.PdfReader(io.BytesIO(sheet_page(sheet, paper="a4", time_limit_s=120).pdf))
    paper = " ".join(pdf.pages[0].extract_text().split())
    said = _said(sheet)
    assert len(said) > 20
    assert [part for part in said if part not in printed] == []
    assert [part for part in said if part not in paper] == []
    for around in (
        "Horses",
        "Notices",
        "Sign out",
        "Issue a sheet",
        "Draft as PDF",
        "Back to the board",
    ):
        assert around not in printed
    for place in ("header.sitehead", "footer.foot-line", ".no-print"):
        assert not one.page.locator(place).first.is_visible()
    width = one.page.evaluate(
        "getComputedStyle(document.querySelector('.sheet-paper')).borderTopWidth"
    )
    assert width == "0px"
