"""The private calendar address: derived like an invitation's, shown to its person only, revocable."""

import hashlib
import hmac
from datetime import datetime

from django.conf import settings
from django.db import transaction
from django.http import Http404

from horses.access import NotFresh
from horses.models import CalendarFeed, Person
from horses.models.base import new_public_id


def feed_token(public_id: str) -> str:
    """The way in: 256 bits from the server's secret, so that the database alone opens nothing."""
    key = settings.SECRET_KEY.encode()
    return hmac.new(key, f"calendar:{public_id}".encode(), hashlib.sha256).hexdigest()


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def feed_of(person: Person) -> CalendarFeed | None:
    return CalendarFeed.objects.filter(person=person, revoked_at=None).first()


def feed_find(token: str) -> CalendarFeed:
    """The feed of this way in; Http404 for an unknown, a revoked and a left one alike."""
    feed = (
        CalendarFeed.objects.filter(
            token_hash=_hash(token), revoked_at=None, person__is_active=True
        )
        .select_related("person")
        .first()
    )
    if feed is None:
        raise Http404("no such calendar")
    return feed


@transaction.atomic
def feed_make(*, person: Person, fresh: bool, now: datetime) -> CalendarFeed:
    """A new address; the one before opens nothing from now on. Raises NotFresh unless the person
    showed lately who they are: it reads their calendar for years, without a sign-in."""
    if not fresh:
        raise NotFresh("It is a while since you showed that it is you. Go back and send it again.")
    Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    feed_revoke(person=person, now=now)
    public_id = new_public_id()
    return CalendarFeed.objects.create(
        public_id=public_id, person=person, token_hash=_hash(feed_token(public_id)), made_at=now
    )


@transaction.atomic
def feed_revoke(*, person: Person, now: datetime) -> None:
    CalendarFeed.objects.filter(person=person, revoked_at=None).update(revoked_at=now)


def feed_name_places(*, person: Person, wanted: bool) -> None:
    """Whether the person's calendar names the place of each visit; a new address begins without."""
    CalendarFeed.objects.filter(person=person, revoked_at=None).update(with_place=wanted)
