from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from caseboard.lib import clock
from horses.jobs.outbox import failed_try_again, jobs_failed, oldest_due
from horses.models import Notice


class Command(BaseCommand):
    help = "Says what waits, what was set aside and which mail was given up; no words of anybody."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--again", action="store_true", help="try what was set aside anew")

    def handle(self, *args: Any, **options: Any) -> None:
        now = clock.now()
        oldest = oldest_due(now=now)
        self.stdout.write(f"waits since: {oldest.isoformat() if oldest else 'nothing waits'}")
        for row in jobs_failed():
            # Only the kind of error: its text may quote what people wrote.
            kind = row.trouble.split(":")[0]
            self.stdout.write(
                f"set aside: {row.kind} {row.key} after {row.attempts} tries ({kind})"
            )
        failed = Notice.objects.filter(state=Notice.State.FAILED).select_related("person", "case")
        for notice in failed.order_by("-created_at")[:50]:
            self.stdout.write(
                f"not delivered: person {notice.person.public_id}, case {notice.case.public_id}, "
                f"{notice.created_at:%Y-%m-%d %H:%M} ({notice.trouble})"
            )
        if options["again"]:
            self.stdout.write(f"given their tries anew: {failed_try_again(now=now)}")
