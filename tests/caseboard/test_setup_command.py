"""`manage.py setup` in real processes: what it refuses, keeps and makes."""

from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from caseboard.setup.settings_file import env_read
from tests.caseboard.commands import manage
from tests.chaos.sink import Inbox

GIVEN = {
    "site-url": "https://board.example.org",
    "sender": "board@example.org",
    "mail-host": "127.0.0.1",
    "mail-user": "",
    "sign-up": "invitation",
    "email": "first@example.org",
    "name": "First Person",
}


def given(folder: Path, mail_port: int, **other: str) -> list[str]:
    named = {
        **GIVEN,
        "mail-port": str(mail_port),
        "data": str(folder / "data"),
        **other,
        "env-file": str(folder / ".env"),
    }
    return ["setup", "--no-input", *(f"--{name}={value}" for name, value in named.items())]


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str, list[str]]:
    folder = tmp_path_factory.mktemp("setup")
    with Inbox() as mail:
        said = manage(*given(folder, mail.port), state=folder / "unused")
        assert said.returncode == 0, said.stdout + said.stderr
        return folder, said.stdout, mail.texts


def test_it_sends_a_test_mail(done: tuple[Path, str, list[str]]) -> None:
    assert len(done[2]) == 1


def test_it_prints_proxy_unit_and_backup_filled_in(done: tuple[Path, str, list[str]]) -> None:
    for words in (
        "server_name board.example.org;",
        "X-Forwarded-Proto",
        "[Service]",
        "manage.py backup",
    ):
        assert words in done[1]


def test_the_person_is_there(done: tuple[Path, str, list[str]]) -> None:
    folder, _, _ = done
    listed = manage(
        "people",
        "list",
        state=folder,
        CASEBOARD_ENV_FILE=str(folder / ".env"),
        CASEBOARD_STATE_DIR=str(folder / "data"),
    )
    assert "first@example.org  First Person" in listed.stdout, listed.stderr


def test_run_again_it_keeps_the_key_and_what_was_added_by_hand(
    done: tuple[Path, str, list[str]],
) -> None:
    folder, _, _ = done
    before = env_read(folder / ".env")
    with (folder / ".env").open("a") as file:
        file.write("LIMIT_PDFS='7'\n")
    with Inbox() as mail:
        again = manage(
            *given(folder, mail.port, sender="other@example.org"), state=folder / "unused"
        )
    after = env_read(folder / ".env")
    assert "has an account already" in again.stdout, again.stderr
    assert (after["SECRET_KEY"], after["LIMIT_PDFS"]) == (before["SECRET_KEY"], "7")
    assert "other@example.org" in after["DEFAULT_FROM_EMAIL"]


def test_a_mail_server_that_does_not_answer_is_said_and_the_answers_are_kept(
    tmp_path: Path,
) -> None:
    said = manage(*given(tmp_path, 9), state=tmp_path / "unused")
    assert said.returncode != 0
    assert "sendtestemail" in said.stderr
    assert "What you answered is kept" in said.stderr
    assert env_read(tmp_path / ".env")["SITE_URL"] == "https://board.example.org"


@pytest.mark.parametrize(
    ("name", "value"),
    [("site-url", "http://x.org"), ("sender", "nobody"), ("data", "relative"), ("sign-up", "yes")],
)
def test_an_answer_that_cannot_work_is_refused_before_anything_is_written(
    tmp_path: Path, name: str, value: str
) -> None:
    with pytest.raises(CommandError, match=f"--{name}:"):
        call_command(*given(tmp_path, 25, **{name: value}))
    assert not (tmp_path / ".env").exists()


def test_without_input_a_missing_answer_is_named(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="--site-url"):
        call_command("setup", "--no-input", f"--env-file={tmp_path / '.env'}")
