"""A request that comes late with a session that is no more takes nobody's new one away."""

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from tests.cast import Cast

pytestmark = pytest.mark.django_db


def test_a_request_with_the_session_of_before_leaves_the_cookie_alone() -> None:
    client = Client()
    client.cookies[settings.SESSION_COOKIE_NAME] = "a" * 32
    answer = client.get(reverse("horses"))
    assert answer.status_code == 302
    assert settings.SESSION_COOKIE_NAME not in answer.cookies


def test_a_sign_out_takes_the_cookie_away(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.owner)
    answer = client.post(reverse("account_logout"))
    assert answer.cookies[settings.SESSION_COOKIE_NAME]["max-age"] == 0
