"""The ways in and out, in a real browser: passkeys with a key device of the browser's own making,
the sessions page, the detour by a fresh code."""

from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from horses.models import Passkey, SignIn
from tests.browser.conftest import Open
from tests.browser.letters import code_for
from tests.browser.visitor import Visitor
from tests.cast import Cast, make_cast


@pytest.fixture
def people(site: str) -> Cast:
    return make_cast(timezone.now() - timedelta(days=1))


def key_device(visitor: Visitor) -> tuple[Any, str]:
    """A key device that says yes to everything, as a phone whose owner holds a finger to it."""
    devtools = visitor.context.new_cdp_session(visitor.page)
    devtools.send("WebAuthn.enable")
    options = {
        "protocol": "ctap2",
        "transport": "internal",
        "hasResidentKey": True,
        "hasUserVerification": True,
        "isUserVerified": True,
        "automaticPresenceSimulation": True,
    }
    made = devtools.send("WebAuthn.addVirtualAuthenticator", {"options": options})
    return devtools, made["authenticatorId"]


def sign_out(visitor: Visitor) -> None:
    visitor.press("Sign out", inside="footer")


def test_a_passkey_is_added_opens_the_board_and_is_taken_away(enter: Open, people: Cast) -> None:
    vet = enter(people.vet)
    devtools, device = key_device(vet)
    vet.go(reverse("sign_ins"))
    vet.press("Add a passkey")
    vet.fill(name="Vera's phone")
    vet.press("Make the passkey")
    vet.sees("Added: Vera's phone", "Not used yet.")

    sign_out(vet)
    vet.go(reverse("account_login"))
    vet.press("Use a passkey")
    vet.sees("Your horses")
    assert Passkey.objects.get().sign_count >= 1
    vet.go(reverse("sign_ins"))
    vet.sees("by a passkey", "Last used today.")

    # A device that does not see its person opens nothing.
    sign_out(vet)
    devtools.send("WebAuthn.setUserVerified", {"authenticatorId": device, "isUserVerified": False})
    vet.go(reverse("account_login"))
    vet.control("Use a passkey").click()
    vet.sees("The device did not go on")
    devtools.send("WebAuthn.setUserVerified", {"authenticatorId": device, "isUserVerified": True})
    vet.press("Use a passkey")

    vet.go(reverse("sign_ins"))
    vet.press("Take away Vera's phone")
    vet.sees("Taken away: Vera's phone")
    sign_out(vet)
    vet.go(reverse("account_login"))
    vet.press("Use a passkey")
    vet.sees("That passkey does not open this board.")
    vet.sign_in_here()
    vet.sees("Your horses")


def test_a_passkey_is_not_made_twice_on_one_device(enter: Open, people: Cast) -> None:
    vet = enter(people.vet)
    key_device(vet)
    vet.go(reverse("passkey_add"))
    vet.press("Make the passkey")
    vet.go(reverse("passkey_add"))
    vet.control("Make the passkey").click()
    vet.sees("This device has a passkey for you already.")


def test_without_scripts_codes_are_the_way_and_the_page_says_so(enter: Open, people: Cast) -> None:
    vet = enter(people.vet, scripts=False, looks=False)
    vet.go(reverse("passkey_add"))
    vet.sees("A passkey can only be made with scripts switched on")
    sign_out(vet)
    vet.go(reverse("account_login"))
    assert not vet.page.get_by_text("Use a passkey").is_visible()


def test_a_lost_phone_is_signed_out_from_another(enter: Open, people: Cast) -> None:
    here, lost = enter(people.farrier), enter(people.farrier, looks=False)
    lost.go("/me/")
    here.go(reverse("sign_ins"))
    here.sees("Here, where you are now.", "End all others")
    here.press("End all others")
    here.sees("Nowhere else.")
    lost.go("/me/")
    assert "/login/code/" in lost.page.url


def test_the_detour_by_a_fresh_code_keeps_what_was_typed(enter: Open, people: Cast) -> None:
    owner = enter(people.owner)
    owner.go(reverse("address"))
    owner.fill(email="ola.new@example.test")
    _long_ago(people)
    owner.press("Go on")
    owner.sees("Is it still you?", "sign in with ola.new@example.test from now on")
    owner.fill(fresh_code="AAAA-AAAA")
    owner.press("Go on", status=422)
    owner.sees("That is not the code.")
    owner.fill(fresh_code=code_for(people.owner.email))
    owner.press("Go on")
    owner.sees("A code is on its way to ola.new@example.test")
    owner.fill(code=code_for("ola.new@example.test"))
    owner.press("Use this address")
    owner.sees("From now on you sign in with ola.new@example.test.")


def _long_ago(people: Cast) -> None:
    """As if the owner had signed in yesterday."""
    from horses.accounts.reauthentication import STAMP
    from horses.accounts.session_store import SessionStore

    for row in SignIn.objects.filter(person=people.owner):
        session = SessionStore(row.session_key)
        session[STAMP] = (timezone.now() - timedelta(days=1)).isoformat()
        session.save()
