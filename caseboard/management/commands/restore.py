from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from caseboard.management.safekeeping.check import backup_troubles
from caseboard.management.safekeeping.manifest import BackupWrong
from caseboard.management.safekeeping.restore import backup_restore


class Command(BaseCommand):
    help = "Puts a backup into an empty installation, or (--verify) only says whether it is whole."
    requires_migrations_checks = True

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path, help="a folder that `backup` made")
        parser.add_argument("--verify", action="store_true", help="look only, change nothing")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["verify"]:
            troubles = backup_troubles(options["folder"])
            for trouble in troubles:
                self.stdout.write(trouble)
            if troubles:
                raise CommandError(f"{len(troubles)} found wrong: do not rely on this backup.")
            self.stdout.write("The backup is whole.")
            return
        try:
            rows = backup_restore(options["folder"])
        except BackupWrong as error:
            raise CommandError(str(error)) from None
        self.stdout.write(f"{sum(rows.values())} rows and all photos are back, and compared.")
