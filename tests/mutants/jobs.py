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
            "a wait that was asked for counts as a failure",
            "attempts = row.attempts + (not waits)",
            "attempts = row.attempts + 1",
            tests=(
                "tests/horses/jobs/test_outbox_wake.py",
                OUTBOX,
                "tests/horses/notices/test_notices.py",
                "tests/horses/rules/test_engine.py",
            ),
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
            "workers are woken before the commit",
            "transaction.on_commit(wake_workers, robust=True)",
            "wake_workers()",
        ),
        Mutant(
            "a wake of a savepoint counts for what outlives it",
            "sids <= here for",
            "True for",
            tests=("tests/horses/jobs/test_outbox_wake.py",),
        ),
        Mutant(
            "a job keeps no click",
            "request_id=request_id(),\n                )",
            'request_id="",\n                )',
            tests=(OUTBOX, "tests/caseboard/test_log_lines.py", "tests/lib/test_logs.py"),
        ),
        Mutant(
            "the trouble of a mail shows its address",
            '(words if kind == "Later" else kind)[:80]',
            "words[:80]",
            tests=(
                "tests/caseboard/test_readiness.py",
                "tests/horses/notices/test_smtp_errors.py",
                "tests/horses/notices/test_notices.py",
            ),
        ),
        Mutant(
            "the oldest due job is the newest",
            'due.order_by("due_at").values_list',
            'due.order_by("-due_at").values_list',
            tests=("tests/caseboard/test_readiness.py", OUTBOX),
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
        Mutant(
            "a lease that was lost is renewed on",
            " or not lease_renew(row):",
            " or lease_renew(row) is None:",
            tests=(OUTBOX, "tests/caseboard/test_worker.py"),
        ),
        Mutant(
            "a lease runs out while the database is away",
            "        return True\n",
            "        return False\n",
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
            "a turn is taken by all", "if Heartbeat.objects.filter(name=row).exists():", "if False:"
        ),
        Mutant(
            "a turn under way can be taken",
            "_take(row, now - every, now - every + hold)",
            "_take(row, now - every, now - every)",
        ),
        Mutant("a turn counts as a sign of life", 'KIND = "turn"', 'KIND = "clock"'),
    ),
    *rows(
        "horses/jobs/heartbeat.py",
        TURN,
        Mutant(
            "old signs of life are kept",
            "beat_at__lt=now - FORGET",
            "beat_at__lt=now - 30 * FORGET",
            tests=(TURN, "tests/caseboard/test_readiness.py", "tests/caseboard/test_worker.py"),
        ),
        Mutant(
            "one worker's sign counts for all kinds",
            "filter(kind=kind).aggregate",
            "aggregate",
            tests=(TURN, "tests/caseboard/test_readiness.py"),
        ),
    ),
    *rows(
        "horses/jobs/watch.py",
        "tests/caseboard/test_readiness.py",
        Mutant(
            "a check that failed counts as passed",
            "if not trouble:",
            "if True:",
            tests=("tests/caseboard/test_readiness.py", "tests/caseboard/test_backup_photos.py"),
        ),
    ),
)
