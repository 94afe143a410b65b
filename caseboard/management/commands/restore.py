from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from caseboard.backup.check import backup_look
from caseboard.backup.command import SafekeepingCommand, switch
from caseboard.backup.restore import Allowed, Restored, backup_restore
from caseboard.lib import clock

UNSIGNED = (
    "Read without its seal: whether somebody changed it on purpose, and made all sums anew, is not "
    "known but for what the histories speak of."
)

SWITCHES = {
    "--verify": "look only, change nothing",
    "--unsigned": "also one sealed with another SECRET_KEY, or not at all",
    "--without-lost-photos": "bring back all but the pictures that are missing or spoilt",
    "--despite-history": "bring it back although a history in it does not fit",
}


class Command(SafekeepingCommand):
    help = "Puts a backup into an empty installation, or (--verify) only says whether it is whole."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path, help="a folder that `backup` made")
        for name, words in SWITCHES.items():
            switch(parser, name, words)

    def run(self, options: dict[str, Any]) -> None:
        if options["unsigned"]:
            self.stderr.write(UNSIGNED)
        if options["verify"]:
            self._verify(options["folder"], options["unsigned"])
            return
        names = ("unsigned", "without_lost_photos", "despite_history")
        allowed = Allowed(**{name: options[name] for name in names})
        self._say(backup_restore(options["folder"], now=clock.now(), allowed=allowed))

    def _verify(self, folder: Path, unsigned: bool) -> None:
        found = backup_look(folder, unsigned=unsigned)
        self.say_found(found.remarks, found.troubles())
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
