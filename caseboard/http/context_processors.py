"""What every template may use. Nothing here costs a query on a page that does not show it."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from caseboard.lib import clock
from horses.notices.create import unread_count

PRODUCT_NAME = "Hoof case board"


def page(request: HttpRequest) -> dict[str, Any]:
    return {
        "product_name": PRODUCT_NAME,
        "demo": settings.DEMO,
        "now_ms": clock.now_ms,
        "unread_notices": SimpleLazyObject(lambda: _unread_notices(request)),
    }


def _unread_notices(request: HttpRequest) -> int:
    person = getattr(request, "user", None)
    if person is None or not person.is_authenticated:
        return 0
    return unread_count(person)
