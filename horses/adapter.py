"""How sign-in behaves here: by a code sent by email, without passwords, names kept plain."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.conf import settings
from django.http import Http404, HttpRequest
from django.urls import resolve

from caseboard.lib import clock
from horses.models import Person
from horses.services.invitations import invitation_find

# The library's sentences that people can meet here, in ours.
SAID = {
    "incorrect_code": "That is not the code. Look at the newest mail, and type it once more.",
    "too_many_login_attempts": "That code is used up, or too many were asked for. Wait a moment, "
    "then send yourself another one.",
    "rate_limited": "A code was sent a moment ago. Look in your mail, or wait a little.",
    "account_inactive": "This account is closed.",
    "email_taken": "Somebody has an account with this address already. If it is you, sign in.",
    "same_as_current": "This is the address you gave already.",
}


def _on_the_way_to_invitation(request: HttpRequest) -> bool:
    goes_to = request.POST.get("next") or request.GET.get("next") or ""
    try:
        match = resolve(goes_to.partition("?")[0])
        if match.url_name != "invitation":
            return False
        invitation_find(token=match.kwargs["token"], now=clock.now())
    except Http404:  # no such address here, or no such invitation
        return False
    return True


class AccountAdapter(DefaultAccountAdapter):
    error_messages = {**DefaultAccountAdapter.error_messages, **SAID}

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """By invitation only, an account is made on the way to an invitation that is open: whoever
        has such a link was sent it, and only the invited address can accept it."""
        return settings.SIGN_UP == "open" or _on_the_way_to_invitation(request)

    def save_user(
        self, request: HttpRequest, user: Person, form: Any, commit: bool = True
    ) -> Person:
        user.name = form.cleaned_data.get("name", "")
        user.email = form.cleaned_data["email"].strip()
        user.set_unusable_password()
        if commit:
            user.save()
        return user

    def send_account_already_exists_mail(self, email: str) -> None:
        """Without the library's link to a new password: there are none here."""
        self.send_mail("account/email/account_already_exists", email, {"request": self.request})

    def is_safe_url(self, url: str) -> bool:
        """Only paths of our own: a link in a mail must never lead elsewhere after sign-in."""
        return super().is_safe_url(url) and url.startswith("/") and not url.startswith("//")
