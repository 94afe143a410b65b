"""`manage.py prepare`: tables and static files brought up to date, as `serve` does by itself."""

from typing import Any

from django.core.management.base import BaseCommand

from caseboard.processes.prepare import installation_prepare


class Command(BaseCommand):
    help = (
        "Brings the database and the static files up to date, once before several processes start."
    )
    requires_system_checks: list[str] = []  # what they look for is made here

    def handle(self, *args: Any, **options: Any) -> None:
        installation_prepare(say=self.stdout.write)
        self.stdout.write("Everything is up to date.")
