from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from caseboard.backup.check import backup_look
from caseboard.backup.manifest import BackupWrong
from caseboard.backup.restore import Allowed, Restored, backup_restore
from caseboard.lib import clock

UNSIGNED = (
    "Read without its seal: whether somebody changed it on purpose, and made all sums anew, is not "
    "known but for what the histories speak of."
)


class Command(BaseCommand):
    help = "Puts a backup into an empty installation, or (--verify) only says whether it is whole."
    requires_migrations_checks = True

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path, help="a folder that `backup` made")
        parser.add_argument("--verify", action="store_true", help="look only, change nothing")
        parser.add_argument(
            "--unsigned", action="store_true",
            help="also one sealed with another SECRET_KEY, or not at all",
        )  # fmt: skip
        parser.add_argument(
            "--without-lost-photos", action="store_true",
            help="bring back all but the pictures that are missing or spoilt",
        )  # fmt: skip
        parser.add_argument(
            "--despite-history", action="store_true",
            help="bring it back although a history in it does not fit",
        )  # fmt: skip

    def handle(self, *args: Any, **options: Any) -> None:
        if options["unsigned"]:
            self.stderr.write(UNSIGNED)
        if options["verify"]:
            self._verify(options["folder"], options["unsigned"])
            return
        names = ("unsigned", "without_lost_photos", "despite_history")
        allowed = Allowed(**{name: options[name] for name in names})
        try:
            restored = backup_restore(options["folder"], now=clock.now(), allowed=allowed)
        except BackupWrong as error:
            raise CommandError(str(error)) from None
        self._say(restored)

    def _verify(self, folder: Path, unsigned: bool) -> None:
        found = backup_look(folder, unsigned=unsigned)
        for words in found.remarks + found.troubles():
            self.stderr.write(words)
        if count := len(found.troubles()):
            raise CommandError(f"{count} found wrong: do not rely on this backup.")
        self.stdout.write("The backup is whole.")

    def _say(self, restored: Restored) -> None:
        rows = sum(restored.rows.values())
        for name, what in restored.lost.items():
            self.stdout.write(f"photo {name}: {what}. Its row is back, the picture is not.")
        again = "There already, by a restore before this one: " if restored.was_there else ""
        photos = f"all photos but {len(restored.lost)}" if restored.lost else "all photos"
        self.stdout.write(f"{again}{rows} rows and {photos} are back, and compared.")
