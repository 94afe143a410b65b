"""The type of a request behind the sign-in: its user is a person, never anonymous."""

from django.http import HttpRequest

from horses.models import Person


class SignedInRequest(HttpRequest):
    """The request of every view that is not open to all; the middleware guarantees its user."""

    user: Person
