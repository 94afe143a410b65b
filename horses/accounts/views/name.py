"""Asks somebody whose account another may have made for them under which name they want to write."""

from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods

from caseboard.lib.flash_saved import saved
from caseboard.lib.text_safe import SafeCharField
from horses.accounts.request import SignedInRequest
from horses.accounts.services.people import name_confirm


class NameForm(forms.Form):
    name = SafeCharField(
        label="Your name",
        max_length=120,
        help_text="The others on your teams see this name.",
        error_messages={"required": "Please write your name."},
    )


@require_http_methods(["GET", "POST"])
def name(request: SignedInRequest) -> HttpResponse:
    posted = request.POST if request.method == "POST" else None
    form = NameForm(posted, initial={"name": request.user.name})
    to = _next(request)
    if form.is_valid():
        name_confirm(person=request.user, name=form.cleaned_data["name"])
        saved(request, "Saved. This is the name that stands beside what you write.")
        return redirect(to or "horses")
    shown: dict[str, Any] = {"form": form, "next": to}
    return render(request, "horses/name.html", shown, status=200 if posted is None else 422)


def _next(request: SignedInRequest) -> str:
    """Only a path of our own."""
    to = request.POST.get("next") or request.GET.get("next", "")
    ours = to.startswith("/") and url_has_allowed_host_and_scheme(to, allowed_hosts=None)
    return to if ours else ""
