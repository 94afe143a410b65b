from pathlib import Path

from django.apps import AppConfig
from django.conf import settings
from django.db import connection

from caseboard.lib.private import private_state


class CaseboardConfig(AppConfig):
    name = "caseboard"

    def ready(self) -> None:
        from caseboard import checks
        from caseboard.processes import waking

        private_state(
            settings.STATE_DIR,
            mailbox=Path(settings.MAILBOX_DIR),
            media=Path(settings.MEDIA_ROOT),
            database=str(connection.settings_dict["NAME"]) if connection.vendor == "sqlite" else "",
        )
        waking.connect_waker()
        checks.register_all()
