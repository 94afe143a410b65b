from django.apps import AppConfig
from django.db.models.signals import post_migrate


class HorsesConfig(AppConfig):
    name = "horses"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from horses.accounts.services import sessions
        from horses.ledger import triggers

        sessions.listen()
        post_migrate.connect(triggers.install_after_migrate, dispatch_uid="horses.ledger.triggers")
