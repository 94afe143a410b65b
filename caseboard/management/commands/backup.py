from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from caseboard.lib import clock
from caseboard.management.safekeeping.write import backup_write


class Command(BaseCommand):
    help = "Saves the database and the photos into a new folder, while people go on working."
    requires_migrations_checks = True

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("into", type=Path, help="where the folder is made")

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(str(backup_write(options["into"], now=clock.now())))
