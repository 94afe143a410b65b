"""The session engine: Django's database sessions, with whose they are and when they were seen."""

from datetime import datetime, timedelta
from typing import Any

from django.contrib.sessions.backends.db import SessionStore as DatabaseStore
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from caseboard.lib import clock
from horses.models.sign_in import SignIn

DEVICE, WAY, SIGNED_IN_AT = "sign_in_device", "sign_in_way", "signed_in_at"
# A browser on its way to the sign-in. House defaults: an hour, and so many of them at most, so that
# strangers fill no disk; the oldest go first.
STRANGER_FOR = timedelta(hours=1)
MOST_STRANGERS = 10_000
PERSON = "_auth_user_id"  # where Django keeps who is signed in


class SessionStore(DatabaseStore):
    last_seen_at: datetime | None = None

    @classmethod
    def get_model_class(cls) -> Any:
        return SignIn

    def _get_session_from_db(self) -> Any:
        row = super()._get_session_from_db()  # type: ignore[misc]  # the parent's own, not in its types
        self.last_seen_at = row.last_seen_at if row else None
        return row

    def create_model_instance(self, data: dict[str, Any]) -> Any:
        """The row as it is to be saved; what it says beside the data is taken from the data."""
        row: Any = super().create_model_instance(data)
        if PERSON in data:
            row.person_id = int(data[PERSON])
            row.device = data.get(DEVICE, "")
            row.way = data.get(WAY, "")
            row.signed_in_at = parse_datetime(data.get(SIGNED_IN_AT, ""))
            row.last_seen_at = self.last_seen_at = clock.now()
        else:
            row.expire_date = min(row.expire_date, timezone.now() + STRANGER_FOR)
        return row

    def save(self, must_create: bool = False) -> None:
        super().save(must_create)
        if must_create and PERSON not in self._get_session(no_load=True):  # type: ignore[attr-defined]
            _strangers_bounded()


def _strangers_bounded() -> None:
    strangers = SignIn.objects.filter(person=None)
    if (over := strangers.count() - MOST_STRANGERS) > 0:
        oldest = strangers.order_by("expire_date").values_list("pk", flat=True)
        SignIn.objects.filter(pk__in=list(oldest[:over])).delete()
