"""The answers of `manage.py setup`, read and written."""

import stat
import subprocess
from pathlib import Path

import pytest

from caseboard.setup.settings_file import (
    AnswerUnusable,
    env_quoted,
    env_read,
    env_write,
    mail_url,
    new_secret_key,
    sender,
    site_url,
)

AWKWARD = {
    "SECRET_KEY": new_secret_key(),
    "EMAIL_PASSWORD": 'p@ss/w#rd $HOME %41 "x" \\n =',
    "EMPTY": "",
}


def test_what_was_written_is_read_back_character_for_character(tmp_path: Path) -> None:
    env_write(tmp_path / ".env", AWKWARD)
    assert env_read(tmp_path / ".env") == AWKWARD


def test_the_shell_reads_the_same(tmp_path: Path) -> None:
    env_write(tmp_path / ".env", AWKWARD)
    said = subprocess.run(
        ["sh", "-c", '. ./.env; printf %s "$EMAIL_PASSWORD"'],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert said == AWKWARD["EMAIL_PASSWORD"]


def test_nobody_else_on_the_machine_may_read_it(tmp_path: Path) -> None:
    env_write(tmp_path / ".env", AWKWARD)
    assert stat.S_IMODE((tmp_path / ".env").stat().st_mode) == 0o600


def test_a_quote_or_a_line_break_is_refused_and_the_old_file_stays(tmp_path: Path) -> None:
    env_write(tmp_path / ".env", {"A": "1"})
    for bad in ("it's", "two\nlines"):
        with pytest.raises(AnswerUnusable):
            env_write(tmp_path / ".env", {"A": bad})
    assert env_read(tmp_path / ".env") == {"A": "1"}
    assert [path.name for path in tmp_path.iterdir()] == [".env"]


def test_a_plain_value_stands_in_quotes() -> None:
    assert env_quoted("A", "b c") == "'b c'"


def test_the_key_is_long_enough_and_never_the_same() -> None:
    assert len(new_secret_key()) >= 50
    assert new_secret_key() != new_secret_key()


@pytest.mark.parametrize(
    ("typed", "url"),
    [
        ("https://board.example.org", "https://board.example.org"),
        (" https://Board.Example.org/ ", "https://board.example.org"),
        ("board.example.org", "https://board.example.org"),
        ("https://board.example.org:8443", "https://board.example.org:8443"),
    ],
)
def test_an_address_is_understood(typed: str, url: str) -> None:
    assert site_url(typed) == url


@pytest.mark.parametrize(
    "typed", ["", "http://board.example.org", "board", "https://x.org/board", "https://"]
)
def test_an_address_that_cannot_work_is_refused(typed: str) -> None:
    with pytest.raises(AnswerUnusable, match="https"):
        site_url(typed)


@pytest.mark.parametrize(
    "typed", ["", "board", "board@localhost", "@example.org", "a b@example.org"]
)
def test_a_sender_that_mail_servers_refuse_is_refused(typed: str) -> None:
    with pytest.raises(AnswerUnusable):
        sender(typed, product="Board")


@pytest.mark.parametrize(
    ("host", "port", "user", "url"),
    [
        (
            "mail.example.org",
            587,
            "me@example.org",
            "smtp+tls://me%40example.org@mail.example.org:587",
        ),
        ("mail.example.org", 465, "me", "smtp+ssl://me@mail.example.org:465"),
        ("127.0.0.1", 25, "", "smtp://127.0.0.1:25"),
    ],
)
def test_the_mail_server_is_spoken_to_as_its_port_wants(
    host: str, port: int, user: str, url: str
) -> None:
    assert mail_url(host, port, user) == url
