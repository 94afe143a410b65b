from pathlib import Path

import pytest
from django.core.mail import EmailMessage

from caseboard.lib.mailbox import MailboxBackend, mailbox_get, mailbox_list


@pytest.fixture
def folder(settings: object, tmp_path: Path) -> Path:
    settings.MAILBOX_DIR = tmp_path / "mailbox"  # type: ignore[attr-defined]
    return tmp_path / "mailbox"


def send(subject: str = "Your code", body: str = "Hello", to: str = "sam@example.org") -> int:
    return MailboxBackend().send_messages([EmailMessage(subject, body, "board@example.org", [to])])


def test_a_mail_can_be_read_back(folder: Path) -> None:
    assert send("Ein Grüß", "Huf ✓\nzweite Zeile") == 1
    (letter,) = mailbox_list(folder)
    assert (letter.subject, letter.to, letter.sender) == (
        "Ein Grüß",
        "sam@example.org",
        "board@example.org",
    )
    assert letter.body.strip() == "Huf ✓\nzweite Zeile"
    assert letter.sent_at is not None


def test_the_newest_mail_is_first(folder: Path) -> None:
    for subject in ("first", "second", "third"):
        send(subject)
    assert [letter.subject for letter in mailbox_list(folder)] == ["third", "second", "first"]


def test_the_list_stops_at_its_limit(folder: Path) -> None:
    for number in range(5):
        send(str(number))
    assert [letter.subject for letter in mailbox_list(folder, limit=2)] == ["4", "3"]


def test_links_are_found_without_the_punctuation_after_them(folder: Path) -> None:
    send(body="Open https://example.org/join/abc. Or (http://example.org/x?y=1).")
    assert mailbox_list(folder)[0].links == [
        "https://example.org/join/abc",
        "http://example.org/x?y=1",
    ]


def test_a_mail_to_nobody_is_not_written(folder: Path) -> None:
    assert MailboxBackend().send_messages([EmailMessage("x", "y", "a@example.org", [])]) == 0
    assert mailbox_list(folder) == []


def test_a_half_written_mail_is_not_shown(folder: Path) -> None:
    send()
    (folder / "20261102T090000000000-00000000.part").write_bytes(b"Subject: ha")
    assert len(mailbox_list(folder)) == 1


@pytest.mark.parametrize(
    "name", ["../secret", "..", "", "x", "20261102T090000000000-0000000g", "/etc/passwd"]
)
def test_only_names_of_mails_are_opened(folder: Path, name: str) -> None:
    send()
    (folder.parent / "secret.eml").write_text("Subject: secret\n\n")
    assert mailbox_get(folder, name) is None


def test_a_mail_is_found_by_its_name(folder: Path) -> None:
    send("found")
    (listed,) = mailbox_list(folder)
    assert mailbox_get(folder, listed.name) == listed


def test_a_mail_of_which_nothing_can_be_parsed_is_still_listed(folder: Path) -> None:
    folder.mkdir()
    (folder / "20261102T090000000000-0000000a.eml").write_bytes(b"\xff\xfe no header at all")
    (letter,) = mailbox_list(folder)
    assert letter.subject == ""


def test_an_injected_header_is_refused(folder: Path) -> None:
    with pytest.raises(ValueError, match="newline"):
        send(subject="x\nBcc: all@example.org")
    assert mailbox_list(folder) == []
