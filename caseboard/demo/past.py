"""Puts the demo's past behind: what was written long ago was mailed and read at the time."""

from datetime import datetime, timedelta

from django.db.models import F

from horses.models import Job, Notice, Person

STILL_NEW = timedelta(days=14)
UNREAD_AT_MOST = 4
READ_AFTER = timedelta(hours=5)
ASKING = (
    "alert.raised",
    "alert.worse",
    "alert.back",
    "flag.raised",
)  # these stay unread before what only informs


def past_settle(people: list[Person], *, now: datetime) -> None:
    """No mail waits, and no horse that was judged just now to be judged once more; of what was said
    in the last days a few notices a person are unread."""
    Job.objects.filter(kind__in=("notice.mail", "invitation.mail", "horse.judge")).delete()
    Job.objects.filter(kind="shoe.stand_in", due_at__lte=now).delete()  # those were answered
    Notice.objects.filter(channel=Notice.Channel.MAIL, state=Notice.State.PENDING).update(
        state=Notice.State.SENT, sent_at=F("created_at")
    )
    for person in people:
        _mark_read(person, now)


def _mark_read(person: Person, now: datetime) -> None:
    listed = Notice.objects.filter(person=person, channel=Notice.Channel.APP)
    recent = listed.filter(created_at__gt=now - STILL_NEW).order_by("-created_at", "-pk")
    asking_first = sorted(recent, key=lambda notice: notice.verb not in ASKING)
    old = listed.exclude(pk__in=[notice.pk for notice in asking_first[:UNREAD_AT_MOST]])
    old.filter(created_at__lt=now - READ_AFTER).update(read_at=F("created_at") + READ_AFTER)
    old.filter(read_at=None).update(read_at=now)
