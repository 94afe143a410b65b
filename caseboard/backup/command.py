"""What the commands `backup` and `restore` share."""

from argparse import ArgumentParser
from collections.abc import Sequence
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from caseboard.backup.manifest import BackupWrong


class SafekeepingCommand(BaseCommand):
    requires_migrations_checks = True

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            self.run(options)
        except BackupWrong as error:
            raise CommandError(str(error)) from None

    def run(self, options: dict[str, Any]) -> None:
        raise NotImplementedError  # each command says what it does

    def say_found(self, remarks: Sequence[str], troubles: Sequence[str]) -> None:
        for words in (*remarks, *troubles):
            self.stderr.write(words)


def switch(parser: ArgumentParser, name: str, words: str) -> None:
    """Adds a switch that is off unless named."""
    parser.add_argument(name, action="store_true", help=words)
