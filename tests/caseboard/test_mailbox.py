"""The demo's mailbox: mails that went to files, and the code in them, to read on a page."""

import re
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache
from django.core.mail import EmailMessage
from django.test import Client

from caseboard.lib import clock
from caseboard.lib.mailbox import MailboxBackend, mailbox_list
from horses.accounts.services.code_mails import code_mail_send
from horses.models import CodeMail
from tests.caseboard.commands import manage
from tests.cast import Cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def box(settings: Any) -> Path:
    settings.ROOT_URLCONF = "tests.caseboard.mailbox_urls"
    settings.EMAIL_BACKEND = "caseboard.lib.mailbox.MailboxBackend"
    return Path(settings.MAILBOX_DIR)


def send(subject: str, body: str, to: str = "ola@example.test") -> None:
    MailboxBackend().send_messages([EmailMessage(subject, body, "board@example.test", [to])])


def page_of(address: str) -> str:
    response = Client().get(address)
    assert response.status_code == 200
    return response.content.decode()


def test_the_newest_mail_stands_first_and_anybody_may_look(box: Path) -> None:
    send("First", "Text one.")
    send("Second", "Text two.")
    page = page_of("/mailbox/")
    assert page.index("Second") < page.index("First")
    assert "ola@example.test" in page


def test_one_mail_is_read_whole_with_its_links(box: Path) -> None:
    send("Come and look", "Line one.\nhttp://testserver/cases/abc/\n<b>bold</b>")
    page = page_of(f"/mailbox/{mailbox_list(box)[0].name}/")
    assert "Line one.<br>" in page
    assert 'href="http://testserver/cases/abc/"' in page
    assert "&lt;b&gt;bold&lt;/b&gt;" in page


def test_a_real_sign_in_code_is_shown_large_and_works(box: Path, cast: Cast) -> None:
    cache.clear()
    visitor = Client()
    confirm = visitor.post("/accounts/login/code/", {"email": cast.vet.email}, follow=True)
    code_mail_send(CodeMail.objects.get().public_id, clock.now())
    page = page_of(f"/mailbox/{mailbox_list(box)[0].name}/")
    code = re.search(r'<p class="code big">([^<]+)</p>', page)
    assert code is not None
    assert code[1] in page_of("/mailbox/")
    done = visitor.post(confirm.request["PATH_INFO"], {"code": code[1]})
    assert done["Location"] == "/horses/"


def test_words_in_capitals_are_not_taken_for_a_code(box: Path) -> None:
    send("A note", "The code of conduct\n\nTHRUSH\n")
    assert 'class="code' not in page_of(f"/mailbox/{mailbox_list(box)[0].name}/")


@pytest.mark.parametrize("name", ["nothing", "20261102T090000000000-abcdef12", "settings"])
def test_a_mail_that_is_not_there_is_not_found(box: Path, name: str) -> None:
    assert Client().get(f"/mailbox/{name}/").status_code == 404


def test_an_empty_mailbox_says_so(box: Path) -> None:
    assert "No mail yet" in page_of("/mailbox/")


def test_mails_are_only_looked_at(box: Path) -> None:
    assert Client().post("/mailbox/").status_code == 405


def test_an_installation_that_sends_real_mail_has_no_mailbox_page(tmp_path: Path) -> None:
    asked = "from django.urls import resolve; print(resolve('/mailbox/').view_name)"
    to_files = manage("shell", "-v", "0", "-c", asked, state=tmp_path)
    by_server = manage("shell", "-v", "0", "-c", asked, state=tmp_path, EMAIL_URL="smtp://[::1]:9")
    assert to_files.stdout.strip() == "mailbox"
    assert by_server.returncode != 0
    assert "Resolver404" in by_server.stderr
