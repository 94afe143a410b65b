"""The address by which the requests of strangers are counted."""

from allauth.core.internal.httpkit import get_client_ip
from allauth.core.internal.ratelimit import truncate_ip
from django.http import HttpRequest


def machine_of(request: HttpRequest) -> str:
    """The client's address behind our own proxies; for IPv6 its network, which one household shares."""
    return truncate_ip(get_client_ip(request) or "") or "unknown"
