"""The demo for a phone on the same network."""

import socket

import pytest
from django.core.management.base import CommandError

from caseboard.demo.lan import lan_address, lan_words


def test_the_words_hold_a_code_the_address_and_what_it_is_not() -> None:
    said = lan_words("http://192.0.2.20:8000")
    assert said.count("\n") > 12
    for words in ("http://192.0.2.20:8000/", "plain http", "without a signal is not there"):
        assert words in said


def test_without_a_network_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(self: socket.socket, address: object) -> None:
        raise OSError("Network is unreachable")

    monkeypatch.setattr(socket.socket, "connect", none)
    with pytest.raises(CommandError, match="no network"):
        lan_address()


def test_this_machine_alone_is_no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(socket.socket, "connect", lambda self, address: None)
    monkeypatch.setattr(socket.socket, "getsockname", lambda self: ("127.0.0.1", 5))
    with pytest.raises(CommandError):
        lan_address()
