"""Does once what is due, as the clock's process does without a broker. Prints how much, as JSON."""

import os

import django


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    django.setup()

    from horses.jobs.outbox import URGENT, jobs_run_due

    print(jobs_run_due(most_rank=URGENT))


if __name__ == "__main__":
    main()
