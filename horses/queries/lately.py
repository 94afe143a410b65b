"""What was on the board in the last weeks and is closed by now."""

from datetime import date, datetime, time

from django.db.models import Q
from django.utils import timezone

from horses.access import CaseAccess
from horses.domain.wording import day_words
from horses.models import Alert
from horses.queries.board import flags_for


def lately_over(
    access: CaseAccess, since: date, open_flags: set[int], open_alerts: set[int]
) -> list[str]:
    """Flags and alerts of this board since a day that are open no more, in a few words each."""
    start = timezone.make_aware(datetime.combine(since, time.min))
    flags = flags_for(access).filter(raised_at__gte=start).exclude(pk__in=open_flags)
    alerts = Alert.objects.filter(
        Q(case=access.case) | Q(case=None),
        horse=access.horse,
        weight=Alert.Weight.ALERT,
        raised_at__gte=start,
        cleared_at__isnull=False,
    ).exclude(pk__in=open_alerts)
    said = [f"{', '.join(f.sign_words)} ({day_words(_day(f.raised_at))})" for f in flags]
    return said + [f"{a.title} ({day_words(_day(a.raised_at))})" for a in alerts.order_by("pk")]


def _day(moment: datetime) -> date:
    return timezone.localtime(moment).date()
