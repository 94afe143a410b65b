from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from caseboard.lib import clock
from caseboard.lib.html_pdf import PAGE_SIZES, PdfFailed, PdfUnavailable
from caseboard.sheet_render import sheet_pdf
from horses.access import standing_get
from horses.models import Case, Membership


class Command(BaseCommand):
    help = "Writes a case's plan sheet as a PDF of one page."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("case", help="the case's id, as in the board's address")
        parser.add_argument("--paper", choices=sorted(PAGE_SIZES), default="a4")
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
        standing = standing_get(member.person, case.public_id)
        try:
            pdf = sheet_pdf(standing, paper=options["paper"], now=clock.now())
        except (PdfUnavailable, PdfFailed) as error:
            raise CommandError(str(error)) from error
        try:
            options["out"].write_bytes(pdf)
        except OSError as error:
            raise CommandError(f"{options['out']} cannot be written: {error.strerror}.") from error
        self.stdout.write(f"{options['out']}: one page, {len(pdf) // 1024} kB")
