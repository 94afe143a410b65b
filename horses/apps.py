from django.apps import AppConfig
from django.db.models.signals import post_migrate


class HorsesConfig(AppConfig):
    name = "horses"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from horses import tasks  # noqa: F401  (registers the kinds of work)
        from horses.accounts.services import code_mails, sessions  # noqa: F401  (a kind of work)
        from horses.ledger import triggers
        from horses.rules import (  # noqa: F401  (registers the rules)
            calendar,
            lameness,
            missed_visits,
            plan,
            schedule,
            shoes,
            unanswered_flags,
        )

        sessions.listen()
        post_migrate.connect(triggers.install_after_migrate, dispatch_uid="horses.ledger.triggers")
