"""Where somebody is signed in: noted when it happens and while it is used, and ended at will."""

from datetime import datetime, timedelta
from typing import Any

from allauth.account.signals import login_code_rejected
from django.contrib.auth.signals import user_logged_in
from django.http import Http404, HttpRequest

from caseboard.lib import clock
from caseboard.lib.best_effort import best_effort
from caseboard.lib.logging.fields import logger
from horses.accounts.devices import device_words
from horses.accounts.reauthentication import fresh_stamp
from horses.accounts.session_store import DEVICE, SIGNED_IN_AT, WAY
from horses.models import Person, SignIn

log = logger("horses.sign_ins")
SEEN_EVERY = timedelta(minutes=5)  # house default: how exact "last seen" is


def sign_in_note(sender: Any, request: HttpRequest, user: Person, **_: Any) -> None:
    """Called by Django whenever somebody signed in, whichever way."""
    now = clock.now()
    session = request.session
    session[DEVICE] = device_words(request.headers.get("User-Agent", ""))
    session[WAY] = getattr(request, "way_in", "code")
    session[SIGNED_IN_AT] = now.isoformat()
    fresh_stamp(session, now)
    log.info("sign_in.done", person=user.public_id, way=session[WAY])


def code_rejected(sender: Any, user: Person, last_attempt: bool = False, **_: Any) -> None:
    """Called by the sign-in library for a wrong code to an address that has an account."""
    log.warning("sign_in.wrong_code", person=user.public_id, used_up=last_attempt)


def listen() -> None:
    login_code_rejected.connect(code_rejected, dispatch_uid="horses.code_rejected")
    user_logged_in.connect(sign_in_note, dispatch_uid="horses.sign_ins")


def sign_in_seen(*, session: Any, now: datetime) -> None:
    """Writes down that the session is in use, at most once in a few minutes, if it can be written."""
    seen = getattr(session, "last_seen_at", None)
    if seen is None or now - seen >= SEEN_EVERY:
        row = SignIn.objects.filter(session_key=session.session_key)
        best_effort("sign_in.seen", lambda: row.update(last_seen_at=now), otherwise=0)


def sign_ins_of(person: Person, *, now: datetime) -> list[SignIn]:
    """Where the person is signed in now, the one used last first."""
    return list(SignIn.objects.filter(person=person, expire_date__gt=now))


def sign_in_end(*, person: Person, handle: str, now: datetime) -> SignIn:
    """Ends one. Its next click finds nobody signed in. Http404 for any that is not the person's."""
    for row in sign_ins_of(person, now=now):
        if row.handle == handle:
            SignIn.objects.filter(session_key=row.session_key).delete()
            return row
    raise Http404("no such session")


def sign_ins_end_others(*, person: Person, but_key: str) -> int:
    """Ends all but one; returns how many it ended."""
    ended, _ = SignIn.objects.filter(person=person).exclude(session_key=but_key).delete()
    return ended
