from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from caseboard.backup.command import SafekeepingCommand, switch
from caseboard.backup.make import backup_make
from caseboard.lib import clock


class Command(SafekeepingCommand):
    help = "Saves the database and the photos into a new folder, while people go on working."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("into", type=Path, help="where the folder is made")
        parser.add_argument(
            "--keep",
            type=int,
            default=0,
            metavar="N",
            help="afterwards leave the newest N whole ones only (1 or more)",
        )
        switch(
            parser,
            "--no-verify",
            "do not read it again; then nothing is pruned, and /readyz hears of no whole one",
        )

    def run(self, options: dict[str, Any]) -> None:
        if options["keep"] < 0:
            raise CommandError("--keep takes 1 or more.")
        made = backup_make(
            options["into"],
            verify=not options["no_verify"],
            keep=options["keep"],
            now=clock.now(),
        )
        self.say_found(made.remarks, made.troubles)
        self.stdout.write(str(made.folder))
        if made.troubles:
            raise CommandError(f"The backup is made, but {len(made.troubles)} found wrong.")
