"""Much data from nobody is refused by its head, before a byte of it was read."""

import socket
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpRequest, HttpResponse
from django.test import Client
from waitress.adjustments import Adjustments

from caseboard.http.door import MOST_FROM_STRANGERS, DoorParser
from caseboard.lib.known_browser import cookie_name, known_remember
from tests.caseboard.commands import manage, manage_start
from tests.caseboard.test_serve_command import _address
from tests.cast import Cast

MUCH = 50_000_000


def known_cookie() -> str:
    request, response = HttpRequest(), HttpResponse()
    request.COOKIES = {}
    known_remember(request, response, "vera@example.test")
    return f"{cookie_name()}={response.cookies[cookie_name()].value}"


def head(*more: str) -> bytes:
    lines = ["POST /accounts/login/code/ HTTP/1.1", "Host: localhost", *more]
    return "\r\n".join([*lines, "", ""]).encode()


def asked(data: bytes) -> Any:
    parser = DoorParser(Adjustments(max_request_body_size=64 * 1024 * 1024))
    while data and not parser.completed:
        data = data[parser.received(data[:8192]) :]  # as it comes from the line
    return parser


def test_a_stranger_with_much_is_refused_by_the_head_alone() -> None:
    parser = asked(head(f"Content-Length: {MUCH}"))
    assert parser.completed
    assert parser.error.code == 413


def test_a_form_of_a_stranger_comes_in() -> None:
    parser = asked(head(f"Content-Length: {MOST_FROM_STRANGERS}"))
    assert parser.error is None


def test_a_browser_where_somebody_signed_in_may_send_its_photos() -> None:
    parser = asked(head(f"Content-Length: {MUCH}", f"Cookie: a=b; {known_cookie()}"))
    assert parser.error is None
    assert not parser.completed


@pytest.mark.parametrize("cookie", ["sessionid=made-up", f"{cookie_name()}=x.y:z:w", "=;;"])
def test_a_made_up_cookie_opens_nothing(cookie: str) -> None:
    assert asked(head(f"Content-Length: {MUCH}", f"Cookie: {cookie}")).error.code == 413


def test_a_length_that_nobody_says_ends_at_the_same_size() -> None:
    piece = b"1000\r\n" + b"x" * 4096 + b"\r\n"
    parser = asked(head("Transfer-Encoding: chunked") + piece * 100)
    assert parser.error.code == 413
    assert parser.body_bytes_received < MOST_FROM_STRANGERS + 10_000


@pytest.mark.django_db
def test_the_program_itself_reads_nothing_of_it_either(cast: Cast) -> None:
    """Behind another server than ours; and a known browser in which nobody is signed in now."""

    def unread(*_: Any) -> bytes:
        raise AssertionError("read")

    photo = SimpleUploadedFile("a.jpg", b"x" * (MOST_FROM_STRANGERS + 1))
    client = Client()
    assert client.post("/accounts/login/code/", {"photo": photo}).status_code == 413
    environ: dict[str, Any] = {"wsgi.input": SimpleNamespace(read=unread, readline=unread)}
    sent = client.generic(
        "POST",
        "/accounts/login/code/",
        b"x" * (MOST_FROM_STRANGERS + 1),
        "multipart/form-data; boundary=x",
        **environ,
    )
    assert sent.status_code == 413


@pytest.fixture
def served(tmp_path: Path) -> Iterator[str]:
    assert manage("migrate", "-v", "0", state=tmp_path).returncode == 0
    with manage_start("serve", "--port", "0", state=tmp_path) as process:
        yield _address(process)
        process.terminate()
        process.communicate(timeout=60)


def test_the_running_server_answers_before_the_data_is_sent(served: str) -> None:
    host, port = served.removeprefix("http://").split(":")
    with socket.create_connection((host, int(port)), timeout=30) as line:
        line.sendall(head(f"Content-Length: {MUCH}", "Content-Type: multipart/form-data"))
        assert line.recv(100).startswith(b"HTTP/1.1 413")
