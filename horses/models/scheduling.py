"""When a horse must be looked at next, and which workers are alive.

Decided 2026-11: the moment of the next look stands in a row beside the horse. The road not taken: a
column of the horse, where people's edits and the engine's bookkeeping overwrite each other.
"""

from django.db import models

from horses.models.horse import Horse


class HorseClock(models.Model):
    """The next moment at which a rule may say something new about a horse.

    A sweep reads only what is due. A horse whose look has been asked for has no moment until that
    look sets the next one.
    """

    horse = models.OneToOneField(
        Horse, on_delete=models.PROTECT, primary_key=True, related_name="clock"
    )
    due_at = models.DateTimeField(null=True, blank=True)
    judged_at = models.DateTimeField(null=True, blank=True)  # when all rules last ran through
    # Since when the rules have not run through; the board must not say that nothing was found.
    failing_since = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = (
            models.Index(
                fields=["due_at"],
                condition=models.Q(due_at__isnull=False),
                name="horse_clock_due",
            ),
            models.Index(fields=["judged_at"], name="horse_clock_judged"),
        )


class Heartbeat(models.Model):
    """One line a worker (or clock), with when it last gave a sign of life."""

    name = models.CharField(max_length=80, primary_key=True)
    kind = models.CharField(max_length=10)
    beat_at = models.DateTimeField()


class WatchNote(models.Model):
    """What a look at the whole installation found last: of the photos, of the backup."""

    name = models.CharField(max_length=20, primary_key=True)
    looked_at = models.DateTimeField()
    # The last time that nothing was wrong.
    well_at = models.DateTimeField(null=True, blank=True)
    trouble = models.CharField(max_length=200, blank=True)
