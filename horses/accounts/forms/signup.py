"""Sign-up asks for a name beside the address: it is what the others on the team see."""

from django import forms
from django.http import HttpRequest

from caseboard.lib.text_safe import SafeCharField
from horses.models import Person


class SignupForm(forms.Form):
    name = SafeCharField(
        label="Your name", max_length=120, help_text="The others on a team see this name."
    )

    def signup(self, request: HttpRequest, user: Person) -> None:
        """Called by the sign-in library after the person was saved; nothing is left to do."""
