"""`manage.py serve`: the whole installation in one process."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from caseboard.processes.prepare import installation_prepare
from caseboard.processes.server import serve

LOOPBACK = ("127.0.0.1", "localhost", "::1")


class Command(BaseCommand):
    help = "Serves the case board in one process, background work included."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="address to listen on")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--threads", type=int, default=4, help="pages answered at a time")

    def handle(self, *args: Any, **options: Any) -> None:
        if not settings.PRODUCTION and options["host"] not in LOOPBACK:
            raise CommandError(
                "This is a development installation: it shows its mail with the sign-in codes. "
                "Set CASEBOARD_PRODUCTION=1 (and what it then asks for) to serve other machines."
            )
        installation_prepare(say=self._say)
        serve(
            host=options["host"],
            port=options["port"],
            threads=options["threads"],
            ready=self._ready,
        )
        self._say("Ended.")

    def _ready(self, address: str) -> None:
        if not settings.SITE_URL_IS_SET:
            settings.SITE_URL = address  # the links of mails lead to the port that is served
        self._say(f"The case board is at {settings.SITE_URL}/ (Ctrl-C ends it).")
        if address != settings.SITE_URL:
            self._say(f"It listens at {address}, for the proxy in front.")

    def _say(self, words: str) -> None:
        self.stdout.write(words)
        self.stdout.flush()
