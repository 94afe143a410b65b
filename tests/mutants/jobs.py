"""Slips in the outbox, the leases and the turns."""

from tests.mutants.row import Mutant, rows

OUTBOX = "tests/horses/jobs/test_outbox.py"
TURN = "tests/horses/jobs/test_turn.py"

JOBS = (
    *rows(
        "horses/jobs/outbox.py",
        OUTBOX,
        Mutant(
            "due time goes before rank",
            'order_by("rank", "due_at", "pk")',
            'order_by("due_at", "rank", "pk")',
        ),
        Mutant(
            "the youngest job comes first",
            'order_by("rank", "due_at", "pk")',
            'order_by("rank", "-due_at", "pk")',
        ),
        Mutant(
            "a worker takes what another holds",
            "filter(free, pk=row.pk, wanted=row.wanted)",
            "filter(pk=row.pk, wanted=row.wanted)",
        ),
        Mutant(
            "a worker frees another's row",
            "Job.objects.filter(pk=row.pk, leased_by=row.leased_by)",
            "Job.objects.filter(pk=row.pk)",
        ),
        Mutant(
            "work wanted again is thrown away",
            "done, _ = Job.objects.filter(pk=row.pk, wanted=row.wanted)",
            "done, _ = Job.objects.filter(pk=row.pk)",
        ),
        Mutant(
            "a failing job is tried for ever",
            "final = attempts > len(BACKOFF) and not isinstance(error, Later)",
            "final = False",
        ),
        Mutant(
            "what asks for later is set aside",
            "attempts > len(BACKOFF) and not isinstance(error, Later)",
            "attempts > len(BACKOFF)",
        ),
        Mutant(
            "a job that is not due is run",
            "free, due_at__lte=now, set_aside_at__isnull=True",
            "free, set_aside_at__isnull=True",
        ),
        Mutant(
            "what was set aside is run",
            "due_at__lte=now, set_aside_at__isnull=True, rank__range",
            "due_at__lte=now, rank__range",
        ),
        Mutant(
            "a worker for notices takes sheets",
            "rank__range=(least_rank, most_rank)",
            "rank__gte=least_rank",
            tests=(
                "tests/horses/jobs/test_outbox_wake.py",
                "tests/caseboard/test_worker.py",
                OUTBOX,
            ),
        ),
        Mutant(
            "wanted again it keeps its old failures",
            "attempts=0,\n            request_id",
            "request_id",
        ),
        Mutant(
            "a job that kills its workers is tried for ever",
            "if died and row.attempts > DEATHS:",
            "if False:",
            tests=(OUTBOX, "tests/caseboard/test_worker.py"),
        ),
        Mutant(
            "a death counts as no try",
            'attempts=F("attempts") + died',
            'attempts=F("attempts")',
            tests=(OUTBOX, "tests/caseboard/test_worker.py"),
        ),
        Mutant(
            "a wake of a savepoint counts for what outlives it",
            "sids <= here for",
            "True for",
            tests=("tests/horses/jobs/test_outbox_wake.py",),
            lives="a savepoint that is rolled back takes its wakes along, so that none is left to be found",
        ),
    ),
    *rows(
        "horses/jobs/lease.py",
        OUTBOX,
        Mutant(
            "a worker renews a lease that another holds",
            "Job.objects.filter(pk=row.pk, leased_by=row.leased_by)",
            "Job.objects.filter(pk=row.pk)",
            tests=(OUTBOX, "tests/caseboard/test_worker.py"),
        ),
    ),
    *rows(
        "horses/jobs/turn.py",
        TURN,
        Mutant(
            "a turn that failed is nobody's until the next",
            "_put(row, now - every)\n        raise",
            "raise",
        ),
        Mutant(
            "a turn is taken by all",
            "if Heartbeat.objects.filter(name=row).exists():",
            "if False:",
            lives="the name is unique: the second row is refused all the same",
        ),
        Mutant(
            "a turn under way can be taken",
            "_take(row, now - every, now - every + hold)",
            "_take(row, now - every, now - every)",
        ),
    ),
)
