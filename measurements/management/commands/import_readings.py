"""Reads an old record into a horse: all of it or, with --skip-bad, what can be read of it."""

from argparse import ArgumentParser
from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.core.exceptions import PermissionDenied
from django.core.management.base import BaseCommand, CommandError

from caseboard.lib import clock
from caseboard.lib.spans import one_or
from caseboard.lib.text_safe import safe_line
from horses.access import CaseAccess, access_get, require
from horses.models import Case, Membership, Role, Shoeing
from measurements.importing.table import ImportRow, Table, TableUnreadable, table_read, table_text
from measurements.queries.numbers import readings_for
from measurements.services.readings import Taken, readings_import

LARGEST_FILE = 5 * 1024 * 1024  # bytes; house default: far above a lifetime of one horse
MOST_SHOWN = 50  # problems that are listed one by one; house default
IMPORTERS = (Role.FARRIER, Role.OWNER, Role.VET)

Identity = tuple[str, str, date, Decimal, str, str, str]


class Command(BaseCommand):
    help = (
        "Reads measurements from a CSV file with the columns date, foot, quantity, value, unit, "
        "method, trim. Writes nothing unless every row is good, or --skip-bad is given. The same "
        "file read twice adds nothing the second time."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the CSV file")
        parser.add_argument(
            "--case", required=True, help="the case's id, as in the board's address"
        )
        parser.add_argument(
            "--as",
            dest="email",
            help="who reads it in: a member's address; "
            "otherwise the farrier of the case, else the owner",
        )
        parser.add_argument("--by", default="", metavar="NAME", help="who measured, if another")
        parser.add_argument(
            "--shoeing",
            default="",
            choices=["", *Shoeing.values],
            help="how the feet were shod all that time, if it was one way",
        )
        parser.add_argument("--skip-bad", action="store_true", help="read in the good rows only")
        parser.add_argument(
            "--take-unusual",
            action="store_true",
            help="the unusual values were checked and are right",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        now = clock.now()
        access = _access(options["case"], options["email"])
        table = _read(options["file"], now.date(), options["take_unusual"])
        self._tell_problems(table)
        if table.problems and not options["skip_bad"]:
            raise CommandError(
                f"{_rows(table.bad_rows)} cannot be read, so nothing was written. Put them right, "
                "or use --skip-bad to read in the others."
            )
        fresh = self._fresh(access, table.rows)
        by = safe_line(options["by"]).strip()[:120]
        days: dict[date, list[Taken]] = {}
        for row in fresh:
            days.setdefault(row.on, []).append(_taken(row, options["shoeing"]))
        readings_import(access=access, days=days, taken_by_name=by, now=now)
        self.stdout.write(
            f"{access.horse.name}: {len(fresh)} read in, {len(table.rows) - len(fresh)} there "
            f"already, {table.bad_rows} left out."
        )

    def _tell_problems(self, table: Table) -> None:
        for problem in table.problems[:MOST_SHOWN]:
            self.stderr.write(str(problem))
        if len(table.problems) > MOST_SHOWN:
            self.stderr.write(f"... and {len(table.problems) - MOST_SHOWN} more.")

    def _fresh(self, access: CaseAccess, rows: Iterable[ImportRow]) -> list[ImportRow]:
        """The rows that are not there yet, each once. Corrected readings count as there."""
        known: dict[Identity, str] = {
            _identity(*values): "the horse's readings"
            for values in readings_for(access).values_list(*FIELDS)
        }
        fresh = []
        for row in rows:
            if row.identity in known:
                self.stdout.write(f"line {row.line}: same as {known[row.identity]}")
                continue
            known[row.identity] = f"line {row.line}"
            fresh.append(row)
        return fresh


FIELDS = (
    "foot",
    "quantity",
    "taken_on",
    "entered_value",
    "entered_unit",
    "method",
    "trim_state",
)


def _identity(
    foot: str, quantity: str, on: date, value: Decimal, unit: str, method: str, trim: str
) -> Identity:
    return (foot, quantity, on, Decimal(value), unit, method, trim)


def _rows(count: int) -> str:
    return one_or(count, "One row", f"{count} rows")


def _access(case_id: str, email: str | None) -> CaseAccess:
    """The access of whoever reads the record in."""
    case = Case.objects.filter(public_id=case_id).first()
    if case is None:
        raise CommandError(f"There is no case {case_id}.")
    members = Membership.objects.filter(case=case, left_at=None).select_related("person")
    if email:
        member = members.filter(person__email__iexact=email).first()
        if member is None:
            raise CommandError(f"{email} is not on this case.")
    else:
        by_role = {m.role: m for m in members.order_by("-stand_in", "-pk")}
        member = next((by_role[role] for role in IMPORTERS if role in by_role), None)
        if member is None:
            raise CommandError("Nobody is on this case any more who could read it in.")
    access = access_get(member.person, case.public_id)
    try:
        require(access, "reading.import")
    except PermissionDenied as refused:
        raise CommandError(str(refused)) from None
    return access


def _read(path: Path, today: date, take_unusual: bool) -> Table:
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise CommandError(f"{path} is larger than {LARGEST_FILE // 1024 // 1024} MB.")
        content = path.read_bytes()
    except OSError as error:
        raise CommandError(f"{path} cannot be read: {error.strerror}.") from None
    try:
        return table_read(table_text(content), today=today, take_unusual=take_unusual)
    except TableUnreadable as unreadable:
        raise CommandError(f"{path}: {unreadable}") from None


def _taken(row: ImportRow, shoeing: str) -> Taken:
    entered = row.entered
    return Taken(
        foot=row.foot,
        quantity=row.quantity,
        value=entered.base,
        entered_value=entered.value,
        entered_unit=entered.unit,
        entered_text=entered.text,
        method=row.method,
        trim_state=row.trim_state,
        shoeing=shoeing,
        confirmed_odd=row.unusual,
    )
