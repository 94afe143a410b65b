"""Marks the notices of a cleared alert as read, because nobody needs to read that something was so.

The notice stays in the list. It stays unread while another alert of the same cause is open that it may
be about; a notice of what people wrote about an alert (`alert.answered`) is never marked here.
"""

from datetime import datetime

from horses.models import Alert, Horse, Notice

SAYS_ONLY_THAT = ("alert.raised", "alert.worse", "alert.back")  # verbs


def notices_settle(horse: Horse, now: datetime) -> None:
    """Marks as read the notices of this horse's cleared alerts."""
    unread = Notice.objects.filter(
        case__horse=horse, channel=Notice.Channel.APP, verb__in=SAYS_ONLY_THAT, read_at=None
    )
    paths: dict[str, set[str]] = {}
    for path in unread.order_by().values_list("path", flat=True).distinct():
        paths.setdefault(_alert_of(path), set()).add(path)
    if not paths:
        return
    open_since = _open_since(horse)
    over = Alert.objects.filter(horse=horse, public_id__in=paths).exclude(cleared_at=None)
    for alert in over:
        of_it = unread.filter(path__in=paths[alert.public_id])
        if (since := open_since.get(alert.matter)) is not None:
            of_it = of_it.filter(created_at__lt=since)
        of_it.update(read_at=now)


def _alert_of(path: str) -> str:
    """The public id of the alert that a notice leads to."""
    return path.rstrip("/").rpartition("/")[2]


def _open_since(horse: Horse) -> dict[str, datetime]:
    """By cause, since when an alert of it stands that stands today: older notices do not speak of it."""
    alerts = Alert.objects.filter(horse=horse, cleared_at=None, weight=Alert.Weight.ALERT)
    found: dict[str, datetime] = {}
    for alert in alerts.order_by("-raised_at"):
        found[alert.matter] = alert.raised_at
    return found
