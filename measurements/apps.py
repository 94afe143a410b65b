from django.apps import AppConfig


class MeasurementsConfig(AppConfig):
    name = "measurements"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from measurements import rules, rules_calendar  # noqa: F401  (registers their rules)
