"""The passkey protocol (W3C Web Authentication): challenges, and whether an answer is a true one.

Only this installation's own address is believed, the key must live on the device (so that no
address need be typed), and the device must have seen its person's finger, face or number.

Decided 2026-11: passkeys stand beside the code, on the protocol library alone. The road not taken:
the sign-in library's own, which makes them a second factor, so that a lost phone locks people out,
and whose pages need inline scripts.
"""

import hashlib
import ipaddress
import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from fido2.server import Fido2Server
from fido2.webauthn import (
    AttestedCredentialData,
    AuthenticationResponse,
    PublicKeyCredentialRpEntity,
    PublicKeyCredentialUserEntity,
    ResidentKeyRequirement,
    UserVerificationRequirement,
)

from horses.models import Passkey, Person

STATE = "passkey_state"  # the challenge that is being answered, in the session of the browser
MAX_ANSWER = 20_000  # characters; house default: an answer takes about 2,000


class PasskeyWrong(Exception):
    """The answer proves nothing; why is for the log, the person is told one thing."""


@dataclass(frozen=True)
class NewKey:
    credential_hash: str
    public_key: str
    sign_count: int


def passkeys_possible(request: HttpRequest) -> bool:
    """A key belongs to a name; a bare number address has none."""
    try:
        ipaddress.ip_address(_host(request))
    except ValueError:
        return True
    return False


def _host(request: HttpRequest) -> str:
    return request.get_host().rsplit(":", 1)[0].strip("[]")


def _server(request: HttpRequest) -> Fido2Server:
    origin = f"{request.scheme}://{request.get_host()}"
    ours = PublicKeyCredentialRpEntity(id=_host(request), name="Hoof case board")
    return Fido2Server(ours, verify_origin=lambda said: said == origin)


def credential_hash(credential_id: bytes) -> str:
    return hashlib.sha256(credential_id).hexdigest()


def add_begin(request: HttpRequest, person: Person) -> str:
    """What the browser is asked, as JSON; the challenge is kept in the session."""
    have = [AttestedCredentialData(bytes.fromhex(k.public_key)) for k in person.passkeys.all()]
    options, state = _server(request).register_begin(
        user=PublicKeyCredentialUserEntity(
            id=person.public_id.encode(), name=person.email, display_name=str(person)
        ),
        credentials=have,
        resident_key_requirement=ResidentKeyRequirement.REQUIRED,
        user_verification=UserVerificationRequirement.REQUIRED,
    )
    request.session[STATE] = {**state, "for": "add"}
    return json.dumps(dict(options))


def add_finish(request: HttpRequest, answer: str) -> NewKey:
    """The public half of the key that the browser made. Raises PasskeyWrong."""
    state, said = _state(request, "add"), _read(answer)
    try:
        data = _server(request).register_complete(state, said)
    except Exception as error:  # a hostile answer makes a decoder raise anything at all
        raise PasskeyWrong(f"{type(error).__name__}: {error}") from error
    key = data.credential_data
    assert key is not None  # register_complete has seen to it
    return NewKey(credential_hash(key.credential_id), bytes(key).hex(), data.counter)


def sign_in_begin(request: HttpRequest) -> dict[str, Any]:
    """A challenge for whoever sits there: nothing in it says whether anybody has a key."""
    options, state = _server(request).authenticate_begin(
        user_verification=UserVerificationRequirement.REQUIRED
    )
    request.session[STATE] = {**state, "for": "sign in"}
    return dict(options)


def sign_in_finish(
    request: HttpRequest, answer: str, find: Callable[[str], Passkey | None]
) -> tuple[Passkey, int]:
    """The key that answered, and its counter. Raises PasskeyWrong.

    `find` gives the key whose id has this fingerprint.
    """
    state, said = _state(request, "sign in"), _read(answer)
    try:
        parsed = AuthenticationResponse.from_dict(said)
        passkey = find(credential_hash(parsed.raw_id))
        keys = [AttestedCredentialData(bytes.fromhex(passkey.public_key))] if passkey else []
        _server(request).authenticate_complete(state, keys, parsed)
    except Exception as error:  # as above
        raise PasskeyWrong(f"{type(error).__name__}: {error}") from error
    assert passkey is not None  # without a key the answer was refused above
    counter = parsed.response.authenticator_data.counter
    # A counter that does not rise means that the key was copied. Keys that are shared between a
    # person's own devices do not count and say 0.
    if counter <= passkey.sign_count and (counter or passkey.sign_count):
        raise PasskeyWrong(f"counter {counter} after {passkey.sign_count}")
    if not passkey.person.is_active:
        raise PasskeyWrong("the account is closed")
    return passkey, counter


def _state(request: HttpRequest, purpose: str) -> dict[str, Any]:
    """The challenge this browser was given: it serves once, whatever comes of it."""
    state = request.session.pop(STATE, None)
    if not isinstance(state, dict) or state.pop("for", "") != purpose:
        raise PasskeyWrong("no challenge was given to this browser")
    return state


def _read(answer: str) -> Any:
    if len(answer) > MAX_ANSWER:
        raise PasskeyWrong("too long")
    try:
        said = json.loads(answer)
    except (ValueError, RecursionError) as error:
        raise PasskeyWrong("not JSON") from error
    if not isinstance(said, dict):
        raise PasskeyWrong("not an object")
    return said
