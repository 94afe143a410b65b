from typing import Any

from django.core.management.base import BaseCommand, CommandError

from horses.models import Case
from horses.verify import broken_lines


class Command(BaseCommand):
    help = "Checks every case's history chain and names each line that was tampered with."

    def handle(self, *args: Any, **options: Any) -> None:
        wrong = 0
        for case in Case.objects.order_by("pk").iterator():
            for seq, what in broken_lines(case):
                wrong += 1
                self.stdout.write(f"case {case.public_id}, line {seq}: {what}")
        if wrong:
            raise CommandError(f"{wrong} line(s) do not fit.")
        self.stdout.write("Every line of every case fits.")
