from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.http import Http404

from caseboard.case_reading import CaseReading
from caseboard.lib import clock
from caseboard.lib.pdf.parent import PAGE_SIZES, PdfFailed, PdfUnavailable
from caseboard.sheets.plan_gather import sheet_for
from caseboard.sheets.render import sheet_page
from horses.access import CaseAccess, access_get
from horses.models import Case, Membership
from horses.queries.plan_sheets import paper_of, sheet_get


class Command(BaseCommand):
    help = "Writes a case's plan sheet as a PDF of one page: a draft, or a sheet that was issued."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("case", help="the case's id, as in the board's address")
        parser.add_argument("--paper", choices=sorted(PAGE_SIZES), default="a4")
        parser.add_argument("--number", type=int, help="an issued sheet; without it a draft")
        parser.add_argument("--out", required=True, type=Path, help="the PDF file to write")

    def handle(self, *args: Any, **options: Any) -> None:
        case = Case.objects.filter(public_id=options["case"]).first()
        if case is None:
            raise CommandError(f"There is no case {options['case']}.")
        # The sheet as an owner prints it; whoever runs commands has the files anyway.
        members = Membership.objects.filter(case=case, left_at=None).select_related("person")
        member = members.filter(role="owner").first() or members.first()
        if member is None:
            raise CommandError("Nobody is on this case any more.")
        access = access_get(member.person, case.public_id)
        pdf = self._pdf(access, options["number"], options["paper"])
        try:
            options["out"].write_bytes(pdf)
        except OSError as error:
            raise CommandError(f"{options['out']} cannot be written: {error.strerror}.") from error
        self.stdout.write(f"{options['out']}: one page, {len(pdf) // 1024} kB")

    def _pdf(self, access: CaseAccess, number: int | None, paper: Any) -> bytes:
        if number is not None:
            return self._issued(access, number, paper)
        try:
            page = sheet_page(sheet_for(CaseReading(access, clock.now())), paper=paper)
        except (PdfUnavailable, PdfFailed) as error:
            raise CommandError(str(error)) from error
        for words in page.left_off:
            self.stdout.write(f"Left off: {words}")
        return page.pdf

    def _issued(self, access: CaseAccess, number: int, paper: str) -> bytes:
        try:
            drawn = paper_of(sheet_get(access, number), paper)
        except Http404:
            raise CommandError(f"There is no sheet {number} of this case.") from None
        if drawn is None:
            raise CommandError(f"Sheet {number} is not drawn yet: is a worker running?")
        return bytes(drawn.pdf)
