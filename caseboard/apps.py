from django.apps import AppConfig


class CaseboardConfig(AppConfig):
    name = "caseboard"

    def ready(self) -> None:
        # Importing is registering: the Celery app becomes the current one, the checks are known.
        from caseboard import celery, checks, sheet_work  # noqa: F401  (registers the drawing)

        celery.connect_waker()
        checks.register_all()
