"""Whether a page is fetched for later by the phone: then nobody has read it yet."""

from django.http import HttpRequest

HEADER = "X-Fetched-Ahead"  # set by the service worker


def is_fetched_ahead(request: HttpRequest) -> bool:
    return HEADER in request.headers
