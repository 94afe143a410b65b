"""`manage.py demo`: an invented riding school to look round in, with files of its own."""

import shutil
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection

from caseboard.demo import DemoSummary, load, summary
from caseboard.demo.lan import lan_address, lan_words
from caseboard.lib import clock
from caseboard.lib.pdf.parent import pango_missing
from caseboard.processes.server import serve
from horses.models import Person


class Command(BaseCommand):
    help = "Prepares and serves the demo. It never touches a real installation's data."
    requires_system_checks: list[str] = []  # the database is not there yet

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="prepare it and end")
        parser.add_argument("--reset", action="store_true", help="throw the demo away, start anew")
        parser.add_argument("--host", default="127.0.0.1", help="address to listen on")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument(
            "--lan",
            action="store_true",
            help="for phones on the same network, with a QR code to open it",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        refuse_if_real()
        self._lan = lan_address() if options["lan"] else ""
        if self._lan:
            settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, self._lan]
            options["host"] = "0.0.0.0"  # every way into this machine: `--lan` asked for it
        if options["reset"]:
            connection.close()
            reset(
                Path(settings.DATABASES["default"]["NAME"]),
                folders=[Path(settings.MAILBOX_DIR), Path(settings.MEDIA_ROOT)],
            )
        self._prepare()
        if message := pango_missing():
            self._say(f"\nWithout the plan sheet as a PDF: {message}")
        address = f"http://{self._lan or options['host']}:{options['port']}"
        self._say(ways_in(summary(), address))
        if not options["no_serve"]:
            self._serve(options["host"], options["port"])

    def _prepare(self) -> None:
        self._say("Preparing the demo ...")
        call_command("migrate", verbosity=0)
        call_command("createcachetable", verbosity=0)
        if Person.objects.exists():
            self._say("The demo is as you left it (`demo --reset` starts it anew).")
            return
        load(clock.now())

    def _serve(self, host: str, port: int) -> None:
        def ready(address: str) -> None:
            # The port is known only now; mails sent from here on lead back to it.
            settings.SITE_URL = address.replace("127.0.0.1", self._lan) if self._lan else address
            if self._lan:
                self._say(lan_words(settings.SITE_URL))
            self._say(f"The case board is at {settings.SITE_URL}/ (Ctrl-C ends it).")

        serve(host=host, port=port, threads=4, ready=ready)
        self._say("Ended. What you did is kept for the next time.")

    def _say(self, words: str) -> None:
        self.stdout.write(words)
        self.stdout.flush()


def refuse_if_real() -> None:
    if settings.PRODUCTION:
        raise CommandError("This is a production installation: the demo is not for it.")
    if not settings.DEMO or connection.vendor != "sqlite":
        raise CommandError("Start it as `manage.py demo`, which gives it files of its own.")


def reset(database: Path, *, folders: list[Path]) -> None:
    """Deletes the demo's own files, by name, and nothing else."""
    for suffix in ("", "-wal", "-shm", "-journal"):
        database.with_name(database.name + suffix).unlink(missing_ok=True)
    for folder in folders:
        shutil.rmtree(folder, ignore_errors=True)


def ways_in(demo: DemoSummary, address: str) -> str:
    """Who there is, with the address each signs in by, and what there is to see."""
    people = [f"  {who.email:<32} {who.name}, {who.role}" for who in demo.people]
    horses = [f"  {horse.name:<32} {horse.story}" for horse in demo.horses]
    return "\n".join(
        [
            "",
            "The horses:",
            *horses,
            "",
            "Sign in as one of these. No mail is sent; the code is shown in the mailbox:",
            *people,
            "",
            f"Sign in   {address}/accounts/login/",
            f"Mailbox   {address}/mailbox/",
            "",
        ]
    )
