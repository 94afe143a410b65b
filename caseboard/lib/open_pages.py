"""Marks the few pages that anyone may see: all others need a signed-in person.

It sets the same mark as Django's `login_not_required`, so that the sign-in pages of django-allauth
(which carry that mark) and ours are told apart from the rest by one rule.
"""

from collections.abc import Callable
from typing import Any, TypeVar

from django.contrib.auth.decorators import login_not_required

View = TypeVar("View", bound=Callable[..., Any])


def open_to_all(view: View) -> View:
    """Lets people who are not signed in see this view, e.g. the urgent page."""
    return login_not_required(view)
