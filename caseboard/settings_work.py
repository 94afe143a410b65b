"""Background work: with a broker, Celery workers do it; without one, a thread of `serve` does."""

from caseboard.settings_env import env

CELERY_BROKER_URL = env.str("CELERY_BROKER_URL", default="")
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_MAX_TASKS_PER_CHILD = 200
CELERY_TASK_TIME_LIMIT = 120
CELERY_TASK_SOFT_TIME_LIMIT = 90
# Of one worker: as many as it takes that a sheet and a horse under way leave one for an urgent mail.
# House default.
CELERY_WORKER_CONCURRENCY = env.int("WORKER_PROCESSES", default=3)
CELERY_TASK_DEFAULT_QUEUE = "all"
# A worker that is not told otherwise takes all of them; the urgent comes first in each. In plain words:
# Celery's own classes would be imported by every command.
CELERY_TASK_QUEUES = {
    name: {"exchange": name, "routing_key": name} for name in ("all", "sheets", "notices")
}
CELERY_TASK_ROUTES = {
    "caseboard.drain_notices": {"queue": "notices"},
    "caseboard.drain_sheets": {"queue": "sheets"},
}
# The clock keeps its times in memory: several of them in one folder share no file. What they ask for
# is done once (horses/jobs/turn.py).
CELERY_BEAT_SCHEDULER = "celery.beat:Scheduler"
CELERY_TASK_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_TIMEZONE = env.str("TIME_ZONE", default="UTC")  # what the night is
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
# A page waits for the broker this long at most: waking a worker is a kindness, no more.
CELERY_BROKER_CONNECTION_TIMEOUT = 1
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "socket_connect_timeout": 1,
    "socket_timeout": 5,
    "max_retries": 1,
    "interval_start": 0,
    "interval_step": 0,
    "interval_max": 0,
}
OUTBOX_SWEEP_SECONDS = env.int("OUTBOX_SWEEP_SECONDS", default=30)  # house default for a lost wake
WORK_LEASE_SECONDS = env.int(
    "WORK_LEASE_SECONDS", default=60
)  # house default: see horses/jobs/lease.py
READY_KEPT_S = 5  # house default: /readyz asks the parts this often at most
JUDGE_SWEEP_SECONDS = 60  # house default: cheap, because it reads only the horses that are due
