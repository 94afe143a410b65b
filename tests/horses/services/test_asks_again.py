"""The careful deeds: whoever does them has shown lately who they are, whichever page they use."""

import re
from collections.abc import Callable
from datetime import datetime
from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from horses.models import (
    Agreement,
    CalendarFeed,
    Case,
    HistoryLine,
    Invitation,
    Membership,
    PlanItem,
)
from horses.services.plan import latest_version
from tests import build
from tests.codes import code_there
from tests.horses.doors import text_of
from tests.stage import Stage

pytestmark = pytest.mark.django_db
Later = Callable[[float], None]
Form = tuple[str, str, dict[str, str]]  # who, address, fields


def _item(stage: Stage, now: datetime) -> PlanItem:
    return build.plan_item(stage.access("vet"), now, text="Wedges.", therapeutic=True)


def _hand_over(stage: Stage, now: datetime) -> Form:
    case = stage.cast.concern.public_id
    fields = {"email": "new@example.test", "boards": case, "goes": "now"}
    place = stage.member("stand_in").public_id
    return "owner", reverse("hand_over", args=[case, place]), fields


def _invite(stage: Stage, now: datetime) -> Form:
    fields = {"email": "new@example.test", "role": "vet"}
    return "owner", reverse("invite", args=[stage.cast.concern.public_id]), fields


def _resend(stage: Stage, now: datetime) -> Form:
    args = [stage.cast.concern.public_id, stage.invitation.public_id]
    return "owner", reverse("invitation_resend", args=args), {}


def _close(stage: Stage, now: datetime) -> Form:
    fields = {"outcome": "met", "words": "Sound <again> & “well”."}
    return "owner", reverse("case_close", args=[stage.cast.concern.public_id]), fields


def _agree(stage: Stage, now: datetime) -> Form:
    item = _item(stage, now)
    fields = {"seen_hash": latest_version(item).content_hash, "decision": "agree"}
    address = reverse("plan_item", args=[stage.cast.concern.public_id, item.public_id])
    return "owner", address, fields


def _calendar(stage: Stage, now: datetime) -> Form:
    return "owner", reverse("my_calendar"), {}


FORMS = {
    "hand-over": _hand_over,
    "invite": _invite,
    "invite again": _resend,
    "close": _close,
    "agree": _agree,
    "calendar": _calendar,
}


def _kept(stage: Stage) -> list[Any]:
    """What these deeds write."""
    models = (Invitation, Agreement, HistoryLine, CalendarFeed)
    left = Membership.objects.filter(left_at=None).count()
    open_cases = Case.objects.filter(closed_at=None).count()
    return [*(model._base_manager.count() for model in models), left, open_cases]


def _client(stage: Stage, who: str) -> Client:
    client = Client()
    client.force_login(stage.person(who))
    return client


@pytest.mark.parametrize("name", FORMS)
def test_an_aged_sign_in_is_asked_and_nothing_typed_is_lost(
    name: str, stage: Stage, now: datetime, later: Later
) -> None:
    who, address, fields = FORMS[name](stage, now)
    client = _client(stage, who)
    before = _kept(stage)
    later(11)
    asked = client.post(address, fields)
    assert (asked.status_code, "Is it still you?" in text_of(asked)) == (200, True)
    assert _kept(stage) == before
    carried = dict(
        re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', asked.content.decode())
    )
    again = {name: unescape(value) for name, value in carried.items()}
    again.pop("csrfmiddlewaretoken")
    assert again == fields
    done = client.post(address, {**again, "fresh_code": code_there()})
    assert done.status_code == 302
    assert _kept(stage) != before


@pytest.mark.parametrize("name", FORMS)
def test_a_fresh_sign_in_is_not_asked(name: str, stage: Stage, now: datetime, later: Later) -> None:
    who, address, fields = FORMS[name](stage, now)
    before = _kept(stage)
    assert _client(stage, who).post(address, fields).status_code == 302
    assert _kept(stage) != before
