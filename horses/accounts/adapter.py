"""How sign-in behaves here: by a code sent by email, without passwords, names kept plain."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import resolve
from django.utils import timezone

from caseboard.lib import clock
from caseboard.lib.address_key import address_spelled
from horses.accounts.services.code_mails import code_mail_want
from horses.accounts.services.people import name_is_sure, unproven_forget
from horses.jobs.outbox import URGENT
from horses.models import Person
from horses.services.invitations import invitation_find

CODE_MAIL = "code_mail"  # in the session: the mail that this browser asked for last

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
        user.email = address_spelled(form.cleaned_data["email"])
        user.name_unsure = True  # until a code sent to this address has come back
        user.set_unusable_password()
        if commit:
            unproven_forget(now=timezone.now())  # by the clock that `joined_at` is set by
            user.save()
        return user

    def send_mail(self, template_prefix: str, email: str, context: dict[str, Any]) -> None:
        """By the outbox: the page waits for no mail server, and takes as long for every address."""
        request = self.request
        letter = self.render_mail(
            template_prefix, email, {"request": request, "email": email, **context}
        )
        mail = code_mail_want(
            to=email,
            subject=letter.subject,
            body=str(letter.body),
            now=clock.now(),
            instead_of=request.session.get(CODE_MAIL, ""),
            rank=getattr(request, "code_rank", URGENT),
        )
        request.session[CODE_MAIL] = mail.public_id

    def post_login(self, request: HttpRequest, user: Person, **more: Any) -> HttpResponse:
        """Whoever made the account in this browser has the address: the name is their own."""
        if more.get("signup"):
            name_is_sure(person=user)
        response: HttpResponse = super().post_login(request, user, **more)
        return response

    def send_account_already_exists_mail(self, email: str) -> None:
        """Without the library's link to a new password: there are none here."""
        self.send_mail("account/email/account_already_exists", email, {"request": self.request})

    def is_safe_url(self, url: str) -> bool:
        """Only paths of our own: a link in a mail must never lead elsewhere after sign-in."""
        return super().is_safe_url(url) and url.startswith("/") and not url.startswith("//")
