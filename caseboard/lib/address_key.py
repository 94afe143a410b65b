"""Email addresses as people spell them: which spellings are one address.

The part before the @ belongs to the mail server, and what it takes for the same only that server
knows: to write to an address it is left as typed. To count, spellings that most servers take for the
same are one.
"""

import unicodedata
from contextlib import suppress

# Characters that cannot be seen and that people paste along (Unicode: Cf, format).
UNSEEN = "Cf"


def address_spelled(typed: str) -> str:
    """The address as it is written to: without space or dots at its end, the domain in one form.

    Domain names are the same in all letter cases and with a final dot (RFC 1034, 3.1; RFC 4343).
    """
    text = "".join(c for c in typed if unicodedata.category(c) != UNSEEN).strip()
    text = unicodedata.normalize("NFC", text)
    local, at, domain = text.rpartition("@")
    if not at:
        return text
    domain = unicodedata.normalize("NFKC", domain).strip().rstrip(".").casefold()
    return f"{local.strip()}@{domain}"


def address_key(typed: str) -> str:
    """One text for all spellings of an address: for counting, never to write to."""
    local, at, domain = address_spelled(typed).rpartition("@")
    local = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", local).casefold())
    with suppress(UnicodeError):  # what is no domain at all stays as it is
        domain = domain.encode("idna").decode()
    return f"{local}{at}{domain}"
