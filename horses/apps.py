from django.apps import AppConfig
from django.db.models.signals import post_migrate


class HorsesConfig(AppConfig):
    name = "horses"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from horses import (  # noqa: F401  (registers rules and kinds of work)
            kept,
            moments,
            rules,
            rules_lameness,
            rules_plan,
            rules_shoes,
            rules_visits,
            tasks,
            unheard,
        )
        from horses.services import code_mails, sign_ins  # noqa: F401  (a kind of work)

        sign_ins.listen()
        post_migrate.connect(kept.install_after_migrate, dispatch_uid="horses.kept")
