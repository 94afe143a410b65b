"""The settings file `.env` of an installation: read, completed and written by `manage.py setup`."""

import os
import secrets
import tempfile
from pathlib import Path
from typing import ClassVar
from urllib.parse import quote, urlsplit

import environ

HEAD = (
    "# Settings of this installation. Its lines are explained in .env.example. Keep it private.\n"
)


class AnswerUnusable(Exception):
    """An answer that cannot be used, with the reason and an example in words."""


def env_read(path: Path) -> dict[str, str]:
    """What the file says, without looking at or touching this process's environment."""
    if not path.is_file():
        return {}

    class Scratch(environ.Env):
        ENVIRON: ClassVar[dict[str, str]] = {}  # the library writes what it read into its class's

    Scratch.read_env(str(path))
    return dict(Scratch.ENVIRON)


def env_write(path: Path, values: dict[str, str]) -> None:
    """Whole or not at all, and for its owner's eyes only."""
    lines = [f"{name}={env_quoted(name, value)}\n" for name, value in values.items()]
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".env-")  # made with mode 0600
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(HEAD + "".join(lines))
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def env_quoted(name: str, value: str) -> str:
    """In single quotes, which this program, the shell and compose read alike."""
    if "'" in value or "\n" in value or "\r" in value:
        raise AnswerUnusable(f"{name} may hold neither a single quote nor a line break.")
    return f"'{value}'"


def new_secret_key() -> str:
    return secrets.token_urlsafe(48)


def site_url(typed: str) -> str:
    """The address people type into their browser: https, a host, nothing behind it."""
    parts = urlsplit(typed.strip().rstrip("/"))
    if parts.scheme == "" and "." in typed:
        return site_url(f"https://{typed.strip()}")
    if parts.scheme != "https" or not parts.hostname or parts.path or parts.query:
        raise AnswerUnusable(
            "Type the https address that people will open, e.g. https://board.example.org"
        )
    return f"https://{parts.netloc.lower()}"


def sender(typed: str, *, product: str) -> str:
    address = typed.strip()
    name, at, domain = address.rpartition("@")
    if not at or not name or "." not in domain or " " in address:
        raise AnswerUnusable(
            "Type the mail address that the board writes from, e.g. board@example.org"
        )
    return f"{product} <{address}>"


def mail_url(host: str, port: int, user: str) -> str:
    """Port 465 speaks TLS from the first word, the others change to it; on this machine none is
    needed. The password stands in EMAIL_PASSWORD, apart."""
    here = host in ("localhost", "127.0.0.1")
    scheme = "smtp" if here else "smtp+ssl" if port == 465 else "smtp+tls"
    login = f"{quote(user, safe='')}@" if user else ""
    return f"{scheme}://{login}{host}:{port}"
