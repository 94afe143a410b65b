"""`manage.py review_series`: would the board have spoken earlier? Tried on old records."""

import csv
import os
import sys
from argparse import ArgumentTypeError
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Any, TextIO

from django.core.management.base import BaseCommand, CommandError, CommandParser

from measurements.hoof.drift.priors import VISITS_PER_FALSE_ALARM
from measurements.hoof.review import OUTPUT_COLUMNS, FootRecord, records_of, review_record
from measurements.hoof.review_rows import BadRow, ReviewRow, missing_columns, read_rows

_WORTH_A_POOL = 24  # records; starting the processes takes a second
_CHUNK = 8  # records handed to a process at a time
_BAR_WIDTH = 30
_THREAD_LIMITS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


def _rate(text: str) -> float:
    try:
        rate = float(text)
    except ValueError:
        raise ArgumentTypeError(f"{text!r} is not a number of visits") from None
    if not 2 <= rate <= 10_000:
        raise ArgumentTypeError("choose from 2 to 10000 visits")
    return rate


class Command(BaseCommand):
    help = "Replays a file of old readings and writes when each foot would have raised an alert."
    requires_system_checks: list[str] = []  # it needs no database

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="CSV with one reading per row")
        parser.add_argument("--out", type=Path, required=True, help="CSV to write")
        parser.add_argument(
            "--rate",
            type=_rate,
            default=VISITS_PER_FALSE_ALARM,
            help="one false alert in this many visits of a stable foot (default 100)",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        rows = self._good_rows(options["file"])
        records = records_of(rows)
        verdicts = _with_progress(_verdicts(records, options["rate"]), len(records), sys.stderr)
        _write(options["out"], verdicts)
        alerts = sum(bool(verdict["first_alert_on"]) for verdict in verdicts)
        self.stdout.write(f"{len(records)} series read, {alerts} with an alert: {options['out']}")

    def _good_rows(self, path: Path) -> list[ReviewRow]:
        rows, bad = _read(path)
        for each in bad:
            self.stderr.write(f"line {each.line}: {each.reason}")
        if bad:
            raise CommandError(f"{len(bad)} bad rows, nothing written.", returncode=2)
        if not rows:
            raise CommandError("There are no readings in this file, nothing written.", returncode=2)
        return rows


def _read(path: Path) -> tuple[list[ReviewRow], list[BadRow]]:
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            reader = csv.DictReader(file)
            if missing := missing_columns(reader.fieldnames or ()):
                return [], [BadRow(1, f"missing columns: {', '.join(missing)}.")]
            return read_rows((reader.line_num, row) for row in reader)
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise CommandError(f"This file cannot be read: {error}", returncode=2) from None


def _verdicts(records: Sequence[FootRecord], rate: float) -> Iterator[dict[str, str]]:
    """The verdict rows in order, worked out on all cores when there is enough to do."""
    work = partial(review_record, visits_per_false_alarm=rate)
    if len(records) < _WORTH_A_POOL:
        yield from map(work, records)
        return
    # One thread each: the processes already use every core.
    os.environ.update(dict.fromkeys(_THREAD_LIMITS, "1"))
    with ProcessPoolExecutor(mp_context=get_context("spawn")) as pool:
        yield from pool.map(work, records, chunksize=_CHUNK)


def _with_progress(
    verdicts: Iterator[dict[str, str]], total: int, stream: TextIO
) -> list[dict[str, str]]:
    done: list[dict[str, str]] = []
    for verdict in verdicts:
        done.append(verdict)
        filled = _BAR_WIDTH * len(done) // total
        bar = "#" * filled + "." * (_BAR_WIDTH - filled)
        stream.write(f"\r[{bar}] {len(done)}/{total}")
        stream.flush()
    stream.write("\n")
    return done


def _write(path: Path, verdicts: Sequence[dict[str, str]]) -> None:
    """Writes beside the target first, so that a half-written file never stands under its name."""
    partial_path = path.with_name(path.name + ".part")
    try:
        with partial_path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, OUTPUT_COLUMNS)
            writer.writeheader()
            writer.writerows(verdicts)
        partial_path.replace(path)
    except OSError as error:
        raise CommandError(f"{path} cannot be written: {error}", returncode=2) from None
