"""The tasks that Celery calls. They hold no logic: each calls the function that does the round."""

from caseboard.celery import app
from caseboard.processes import rounds


@app.task(name="caseboard.drain", expires=60)
def drain() -> None:
    rounds.drain()


@app.task(name="caseboard.drain_notices", expires=60)
def drain_notices() -> None:
    rounds.drain_notices()


@app.task(name="caseboard.drain_sheets", expires=60)
def drain_sheets() -> None:
    rounds.drain_sheets()


@app.task(name="caseboard.judge_sweep", expires=600)
def sweep() -> None:
    rounds.sweep()


@app.task(name="caseboard.nightly", expires=6 * 3600)
def nightly() -> None:
    rounds.nightly()


# Reads every picture: an hour is some hundred thousand of them from a disk. House default.
@app.task(name="caseboard.photos_look", expires=6 * 3600, soft_time_limit=3500, time_limit=3600)
def photos_look() -> None:
    rounds.photos_look()
