"""What a person sees on a bad day: a form that could not be saved, a code that does not arrive."""

from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from django.db import OperationalError

from horses.models import Flag, Person
from tests.browser.conftest import Open
from tests.browser.letters import code_for
from tests.cast import Cast

WORDS = "Heat in the left fore since the ride."


@pytest.fixture(autouse=True)
def _still(clock_stands: datetime) -> None:
    """All of these happen at the fixed moment."""


def test_a_form_that_could_not_be_saved_waits_in_the_phone_and_is_sent_by_itself(
    enter: Open, cast: Cast, tmp_path: Path
) -> None:
    owner = enter(cast.owner)
    owner.go(f"/cases/{cast.case.public_id}/flags/new/")
    owner.tick("signs", "heat")
    owner.tick("since", "today")
    owner.fill(words=WORDS)

    def full(**_: Any) -> None:
        raise OperationalError("database or disk is full")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("horses.views.flags.flag_raise_with_photos", full)
        owner.control("Write it down and tell the team").click()
        owner.sees("Not sent yet: the board takes nothing new just now", "sent by itself")
        owner.look_over()
        owner.page.screenshot(path=tmp_path / "not-saved.png", full_page=True)
    assert not Flag.objects.exists()
    owner.until("window.drafts.now()")
    owner.sees("Sent")
    assert Flag.objects.get().words == WORDS


def test_a_code_that_does_not_arrive_is_explained_and_the_name_is_asked_once(
    visitor: Open, cast: Cast, tmp_path: Path
) -> None:
    """An account that somebody else made with this address, at its owner's first sign-in."""
    Person.objects.filter(pk=cast.vet.pk).update(name="Rude Name", name_unsure=True)
    vet = visitor()
    vet.go("/accounts/login/")
    vet.fill(email=cast.vet.email)
    vet.press("Send me a code")
    vet.open("Not arrived?")
    vet.page.screenshot(path=tmp_path / "not-arrived.png", full_page=True)
    vet.sees("It is just being sent")
    code = code_for(cast.vet.email)
    vet.press("Look again")
    vet.open("Not arrived?")
    vet.sees("The mail server took it at")
    vet.fill(code=code)
    vet.press("Sign in")
    vet.sees("Is this your name?", cast.vet.email)
    vet.page.screenshot(path=tmp_path / "name.png", full_page=True)
    vet.fill(name="Vera Vet")
    vet.press("That is my name")
    assert Person.objects.get(pk=cast.vet.pk).name == "Vera Vet"
