from django.apps import AppConfig


class MeasurementsConfig(AppConfig):
    name = "measurements"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from measurements import (  # noqa: F401  (registers their rules)
            rules,
            rules_calendar,
            rules_jumps,
        )
