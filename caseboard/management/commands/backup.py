from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from caseboard.backup.make import backup_make
from caseboard.backup.manifest import BackupWrong
from caseboard.lib import clock


class Command(BaseCommand):
    help = "Saves the database and the photos into a new folder, while people go on working."
    requires_migrations_checks = True

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("into", type=Path, help="where the folder is made")
        parser.add_argument(
            "--keep", type=int, default=0, metavar="N",
            help="afterwards leave the newest N whole ones only (1 or more)",
        )  # fmt: skip
        parser.add_argument(
            "--no-verify", action="store_true",
            help="do not read it again; then nothing is pruned, and /readyz hears of no whole one",
        )  # fmt: skip

    def handle(self, *args: Any, **options: Any) -> None:
        if options["keep"] < 0:
            raise CommandError("--keep takes 1 or more.")
        try:
            made = backup_make(
                options["into"], verify=not options["no_verify"], keep=options["keep"],
                now=clock.now(),
            )  # fmt: skip
        except BackupWrong as error:
            raise CommandError(str(error)) from None
        for words in made.remarks + made.troubles:
            self.stderr.write(words)
        self.stdout.write(str(made.folder))
        if made.troubles:
            raise CommandError(f"The backup is made, but {len(made.troubles)} found wrong.")
