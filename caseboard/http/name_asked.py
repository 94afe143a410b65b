"""Asks a person for their name first, when somebody else may have typed it.

An account can be made with another person's address, and its name then stands beside whatever the
owner of the address agrees to.

Decided 2026-11: a name typed by whoever made the account is asked anew when a code from another
browser proves the address, because under it the person will agree. Accounts that nobody proved are
deleted after a day.
"""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import urlencode

# Urgent signs, signing out, and what machines and pages ask for by themselves.
NEVER_KEPT_BACK = {
    "my_name",
    "urgent",
    "policy",
    "worker",
    "livez",
    "readyz",
    "account_logout",
    "draft_sender",
    "address_back",
    "calendar_feed",
    "unsubscribe",
}


class NameAskedMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *_: Any) -> HttpResponse | None:
        page = request.resolver_match.view_name if request.resolver_match else ""
        if page in NEVER_KEPT_BACK or not request.user.is_authenticated:
            return None
        if not request.user.name_unsure:
            return None
        back = request.get_full_path() if request.method == "GET" else ""
        return redirect(f"{reverse('my_name')}?{urlencode({'next': back})}")
