"""The session engine: Django's database sessions, with whose they are and when they were seen."""

from datetime import datetime
from typing import Any

from django.contrib.sessions.backends.db import SessionStore as DatabaseStore
from django.utils.dateparse import parse_datetime

from caseboard.lib import clock
from horses.models.sign_in import SignIn

DEVICE, WAY, SIGNED_IN_AT = "sign_in_device", "sign_in_way", "signed_in_at"
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
        return row
