"""Mail without a mail server: each mail becomes a file, and a page of the demo shows them."""

import os
import re
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from email import message_from_bytes, policy
from email.message import EmailMessage as ParsedMail
from email.utils import parsedate_to_datetime
from pathlib import Path

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend

from caseboard.lib import clock
from caseboard.lib.private import private_keep, private_make

NAME = re.compile(r"\d{8}T\d{12}-[0-9a-f]{8}")  # moment to the microsecond, then chance
LINK = re.compile(r"https?://[^\s<>\"']+")


@dataclass(frozen=True)
class Letter:
    name: str
    sent_at: datetime | None
    sender: str
    to: str
    subject: str
    body: str

    @property
    def links(self) -> list[str]:
        """The addresses in the text, without the full stop or bracket after them."""
        return [found.rstrip(".,;:)!?") for found in LINK.findall(self.body)]


class MailboxBackend(BaseEmailBackend):
    """Writes mails to settings.MAILBOX_DIR. A file is there whole or not at all."""

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        sent = [mail for mail in email_messages if mail.recipients()]
        for mail in sent:
            _write(Path(settings.MAILBOX_DIR), mail.message().as_bytes())
        return len(sent)


def _write(folder: Path, content: bytes) -> None:
    private_make(folder)
    name = f"{clock.now():%Y%m%dT%H%M%S%f}-{secrets.token_hex(4)}"
    half = folder / f"{name}.part"
    half.write_bytes(content)
    private_keep(half)
    os.replace(half, folder / f"{name}.eml")


def mailbox_list(folder: Path, *, limit: int = 100) -> list[Letter]:
    """The newest mails first."""
    paths = sorted(folder.glob("*.eml"), reverse=True) if folder.is_dir() else []
    return [_read(path) for path in paths[:limit]]


def mailbox_get(folder: Path, name: str) -> Letter | None:
    """One mail by its name; None for a name that is not one of ours or not there."""
    path = folder / f"{name}.eml"
    return _read(path) if NAME.fullmatch(name) and path.is_file() else None


def _read(path: Path) -> Letter:
    mail = message_from_bytes(path.read_bytes(), policy=policy.default)
    return Letter(
        name=path.stem,
        sent_at=_sent_at(mail),
        sender=str(mail["From"] or ""),
        to=str(mail["To"] or ""),
        subject=str(mail["Subject"] or ""),
        body=_text(mail),
    )


def _sent_at(mail: ParsedMail) -> datetime | None:
    try:
        return parsedate_to_datetime(str(mail["Date"]))
    except ValueError:
        return None


def _text(mail: ParsedMail) -> str:
    part = mail.get_body(preferencelist=("plain", "html"))
    return str(part.get_content()) if part is not None else ""
