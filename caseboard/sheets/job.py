"""The work that draws an issued sheet: after the commit, by a worker, tried again when it fails."""

from datetime import datetime
from typing import cast

from caseboard.lib.pdf.parent import Paper, PdfUnavailable
from caseboard.sheets.plan_value import thaw
from caseboard.sheets.render import sheet_page
from horses.jobs.outbox import Later, job_handler
from horses.ledger.append import content_of
from horses.models.sheet import DRAW
from horses.queries.plan_sheets import paper_of, sheet_at_work
from horses.services.sheets import sheet_paper_keep

WORKER_TIME_LIMIT_S = 50  # house default: nobody waits for it, and less than a lease


@job_handler(DRAW)
def sheet_draw(key: str, now: datetime) -> None:
    """Draws one page of an issued sheet from its kept content; one that is there is left alone."""
    sheet_id, _, paper = key.partition(":")
    sheet = sheet_at_work(sheet_id)
    if paper_of(sheet, paper) is not None:
        return
    try:
        page = sheet_page(
            thaw(content_of(sheet.content)),
            paper=cast(Paper, paper),
            time_limit_s=WORKER_TIME_LIMIT_S,
        )
    except PdfUnavailable as error:  # somebody may install it: not given up
        raise Later(str(error)) from error
    sheet_paper_keep(sheet, paper, page.pdf, list(page.left_off), now=now)
