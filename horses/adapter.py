"""How sign-in behaves here: by a code sent by email, without passwords, names kept plain."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest

from horses.models import Person


class AccountAdapter(DefaultAccountAdapter):
    def save_user(
        self, request: HttpRequest, user: Person, form: Any, commit: bool = True
    ) -> Person:
        user.name = form.cleaned_data.get("name", "")
        user.email = form.cleaned_data["email"].strip()
        user.set_unusable_password()
        if commit:
            user.save()
        return user

    def is_safe_url(self, url: str) -> bool:
        """Only paths of our own: a link in a mail must never lead elsewhere after sign-in."""
        return super().is_safe_url(url) and url.startswith("/") and not url.startswith("//")
