"""A browser in which somebody has signed in here before: the sign-in counts its tries apart.

Somebody who floods the sign-in with other people's addresses has no browser that is known for them,
and so uses up none of their tries. The cookie stays after signing out. It opens nothing: it holds a
number of its own and fingerprints of the addresses that signed in there, under the server's signature.

Decided 2026-11: sign-in counts an address and a machine together, and a known browser apart. The
road not taken: a count by address alone, by which any stranger could keep its owner out. An address
that is being flooded gives each strange machine two codes; those of known browsers go out first.
"""

import hashlib
import hmac
import secrets
from dataclasses import dataclass

from django.conf import settings
from django.core.signing import BadSignature, TimestampSigner
from django.http import HttpRequest, HttpResponse

from caseboard.lib.address_key import address_key

KNOWN_FOR_S = 60 * 60 * 24 * 365  # house default: somebody who comes once a year for a new shoe
RENEWED_AFTER_S = 60 * 60 * 24 * 30
MOST_PEOPLE = 6  # house default: a yard's tablet
_signer = TimestampSigner(salt="caseboard.known_browser")


@dataclass(frozen=True)
class KnownBrowser:
    device: str
    people: tuple[str, ...]  # fingerprints of addresses, the newest first

    def knows(self, address: str) -> bool:
        return _fingerprint(address) in self.people


def cookie_name() -> str:
    return f"{'__Host-' if settings.SESSION_COOKIE_SECURE else ''}known"


def known_browser(request: HttpRequest, *, max_age_s: int = KNOWN_FOR_S) -> KnownBrowser | None:
    return known_read(request.COOKIES.get(cookie_name(), ""), max_age_s=max_age_s)


def known_read(value: str, *, max_age_s: int = KNOWN_FOR_S) -> KnownBrowser | None:
    """What such a cookie says; None for one that is not ours or too old."""
    try:
        device, *people = _signer.unsign(value, max_age=max_age_s).split(".")
    except BadSignature:
        return None
    return KnownBrowser(device, tuple(people))


def known_remember(request: HttpRequest, response: HttpResponse, address: str) -> None:
    """Whoever is signed in has shown that the address is theirs, in this browser."""
    fresh = known_browser(request, max_age_s=RENEWED_AFTER_S)
    if fresh is not None and fresh.knows(address):
        return
    before = known_browser(request)
    mine = _fingerprint(address)
    others = [one for one in before.people if one != mine] if before else []
    device = before.device if before else secrets.token_hex(8)
    value = _signer.sign(".".join([device, mine, *others[: MOST_PEOPLE - 1]]))
    response.set_cookie(
        cookie_name(),
        value,
        max_age=KNOWN_FOR_S,
        httponly=True,
        samesite="Lax",
        secure=bool(settings.SESSION_COOKIE_SECURE),
    )


def _fingerprint(address: str) -> str:
    content = address_key(address).encode("utf-8", "surrogatepass")
    return hmac.new(settings.SECRET_KEY.encode(), content, hashlib.sha256).hexdigest()[:20]
