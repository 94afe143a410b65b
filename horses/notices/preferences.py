"""When somebody is mailed: at once, once a day, or only what is urgent; not in their quiet hours."""

from datetime import datetime, time, timedelta
from enum import StrEnum

from django.utils import timezone

from horses.models import Person

DIGEST_AT = time(18, 0)  # house default: after the yard's day, in time to plan the next


class MailWay(StrEnum):
    AT_ONCE = "at_once"
    IN_DIGEST = "in_digest"
    NOT = "not"


def way_to_mail(person: Person, *, urgent: bool, muted: bool) -> MailWay:
    """An urgent notice is mailed at once, whatever the person chose."""
    if urgent:
        return MailWay.AT_ONCE
    if muted or person.mail_when == Person.MailWhen.URGENT:
        return MailWay.NOT
    return MailWay.IN_DIGEST if person.mail_when == Person.MailWhen.DAILY else MailWay.AT_ONCE


def quiet_until(person: Person, now: datetime) -> datetime | None:
    """The end of the quiet hours that `now` lies in; None outside of them."""
    start, end = person.quiet_from, person.quiet_to
    if start is None or end is None or start == end:
        return None
    here = timezone.localtime(now)
    clock = here.time().replace(tzinfo=None)
    over_midnight = start > end
    inside = (clock >= start or clock < end) if over_midnight else start <= clock < end
    if not inside:
        return None
    day = here.date() + timedelta(days=1) if over_midnight and clock >= start else here.date()
    return timezone.make_aware(datetime.combine(day, end))


def next_digest(person: Person, now: datetime) -> datetime:
    """The next moment for the daily mail, after the quiet hours if it falls into them."""
    here = timezone.localtime(now)
    day = here.date() if here.time() < DIGEST_AT else here.date() + timedelta(days=1)
    at = timezone.make_aware(datetime.combine(day, DIGEST_AT))
    return quiet_until(person, at) or at
