"""The demo opened from a phone: this machine's address on its own network, and a code to scan."""

import io
import socket

import segno
from django.core.management.base import CommandError

# A documentation address (RFC 5737): nothing is sent to it, the system only says which of this
# machine's own addresses it would send from.
ANYWHERE = ("192.0.2.1", 9)


def lan_address() -> str:
    """Raises CommandError when this machine is on no network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(ANYWHERE)
            address = str(probe.getsockname()[0])
        except OSError:
            address = ""
    if not address or address.startswith("127."):
        raise CommandError("This machine is on no network that a phone could share.")
    return address


def lan_words(address: str) -> str:
    """A code for the phone's camera, and what this way of serving is not."""
    code = io.StringIO()
    segno.make(f"{address}/", error="m").terminal(code, compact=True)
    return "\n".join(
        [
            code.getvalue(),
            f"Open {address}/ on a phone in the same network, or scan the code.",
            "For trying only: plain http on your own network. Everybody in it can open the demo and its",
            "mailbox and read along, and the part that works without a signal is not there: browsers",
            "allow it over https alone.",
            "",
        ]
    )
