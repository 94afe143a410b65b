from typing import Any

from django.core.management.base import BaseCommand, CommandError

from caseboard.lib import clock
from horses.ledger.photo_check import photos_against_history, photos_look
from horses.ledger.verify import broken_lines
from horses.ledger.verify_rows import rows_without_line
from horses.models import Case


class Command(BaseCommand):
    help = "Checks every history, the rows it speaks of and the photos; names what does not fit."

    def handle(self, *args: Any, **options: Any) -> None:
        wrong = 0
        for case in Case.objects.order_by("pk").iterator():
            for seq, what in broken_lines(case):
                wrong += 1
                self.stdout.write(f"case {case.public_id}, line {seq}: {what}")
        for label, count in rows_without_line().items():
            self.stdout.write(
                f"{label}: {count} row(s) that no line speaks of. From before the lines carried "
                "fingerprints (compare with a backup), or put in beside the program."
            )
        photos = [*map(str, photos_look(now=clock.now())), *photos_against_history()]
        for what in photos:
            self.stdout.write(what)
        if wrong or photos:
            raise CommandError(f"{wrong} line(s) and {len(photos)} photo(s) do not fit.")
        self.stdout.write(
            "Every line of every case fits, every row that they speak of, and every photo."
        )
