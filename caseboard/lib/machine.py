"""Which machine asks, as far as that can be known: what strangers are counted by."""

from allauth.core.internal.httpkit import get_client_ip
from allauth.core.internal.ratelimit import truncate_ip
from django.http import HttpRequest


def machine_of(request: HttpRequest) -> str:
    """Its address behind our own proxies; of IPv6 the network, all of which one household has."""
    return truncate_ip(get_client_ip(request) or "") or "unknown"
