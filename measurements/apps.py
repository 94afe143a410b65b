from django.apps import AppConfig


class MeasurementsConfig(AppConfig):
    name = "measurements"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from measurements.rules import jumps, numbers, schedule  # noqa: F401  (registers them)
