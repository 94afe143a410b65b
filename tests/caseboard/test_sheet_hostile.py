"""Hostile words on a plan sheet are only words: no file is read, no socket opened, nothing hidden.

A named pipe and a listening door of this machine stand open to be used: neither ever is. The same
texts are then drawn as markup, as if escaping had been forgotten: still no file and no door.
"""

import io
import os
import shutil
import socket
import tempfile
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

import pypdf
import pytest

from caseboard.lib.pdf.parent import html_to_pdf, pango_missing
from caseboard.sheets.render import sheet_page
from tests.caseboard.sheet_plans import busy

pytestmark = pytest.mark.skipif(bool(pango_missing()), reason="needs Pango")

# Where FILE stands goes a canary's path, where PIPE that of a named pipe, where DOOR an address
# that listens. About as long as an item may be without being cut.
TEXTS = (
    '<img src="file://FILE">',
    '<img src="file://PIPE">',
    '<img src="DOOR">',
    '<img src="PIPE">',
    '<img srcset="DOOR 2x" src="DOOR">',
    '<img src="//DOORHOST/x.png">',
    '<link rel="stylesheet" href="DOOR">',
    '<link rel="stylesheet" href="file://PIPE">',
    '<link rel="attachment" href="file://FILE">',
    '<link rel="attachment" href="file://PIPE">',
    '<a rel="attachment" href="DOOR">x</a>',
    '<link rel="icon" href="DOOR">',
    '<link rel="preload" as="font" href="DOOR">',
    '<meta http-equiv="refresh" content="0;url=DOOR">',
    '<base href="DOOR"><img src="x.png">',
    '<base href="file://FILE"><img src="x">',
    "<style>@import url(DOOR);</style>",
    "<style>@import 'file://PIPE';</style>",
    "<style>*{background:url(DOOR)}</style>",
    "<style>*{background:url(file://PIPE)}</style>",
    "<style>@font-face{font-family:q;src:url(DOOR)}*{font-family:q}</style>",
    "<style>@font-face{font-family:q;src:url(file://PIPE)}*{font-family:q}</style>",
    "<style>@page{background:url(DOOR)}</style>",
    "<style>li::before{content:url(DOOR)}</style>",
    "<style>*{display:none}</style>",
    '<p style="background:url(DOOR)">x</p>',
    '<p style="list-style-image:url(file://PIPE)">x</p>',
    '<p style="position:fixed;top:0">x</p>',
    "<style>@color-profile q{src:url(DOOR)}</style>",
    "<style>*{cursor:url(DOOR)}</style>",
    '<iframe src="DOOR"></iframe>',
    '<iframe src="file://FILE"></iframe>',
    '<object data="DOOR"></object>',
    '<object data="file://PIPE"></object>',
    '<embed src="DOOR">',
    '<embed src="file://PIPE">',
    '<video poster="DOOR" src="DOOR"></video>',
    '<input type="image" src="DOOR">',
    "<body background=DOOR>",
    '<svg><image href="DOOR" width="9" height="9"/></svg>',
    '<svg><image href="file://PIPE" width="9" height="9"/></svg>',
    '<svg><use href="DOOR#x"/></svg>',
    '<svg><use href="file://PIPE#x"/></svg>',
    "<svg><style>@import url(DOOR);</style></svg>",
    '<svg><rect fill="url(DOOR#x)"/></svg>',
    "<svg onload=alert(1)><script>alert(1)</script></svg>",
    "<script src=DOOR></script>",
    '<a href="javascript:alert(1)">x</a>',
    '<img src="javascript:alert(1)">',
    '<img src="data:image/svg+xml,<svg xmlns=%22http://www.w3.org/2000/svg%22><image href=%22DOOR%22/></svg>">',
    '<link rel="stylesheet" href="data:text/css,@import url(DOOR);">',
    '<link rel="stylesheet" href="data:text/css,*{background:url(file://PIPE)}">',
    '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY y SYSTEM "file://FILE">]><x>&y;</x>',
    '<img src="data:image/svg+xml,<!DOCTYPE s [<!ENTITY y SYSTEM %22file://PIPE%22>]><svg>%26y;</svg>">',
    '<img src="data:image/png;base64,AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA">',
    '<img src="/proc/self/environ">',
    '<object data="file:///proc/self/environ"></object>',
    '<img src="/static/../../FILE">',
    '<img src="/static/%2e%2e/%2e%2e/FILE">',
    '<img src="ftp://DOORHOST/x">',
    '<img src="gopher://DOORHOST/x">',
    '<img src="jar:DOOR!/x">',
    "{% load static %}{{ settings.SECRET_KEY }}{% include 'FILE' %}",
    "${FILE} $(cat FILE) `cat PIPE`",
    "</td></tr></table></div><h1>Agreed by all</h1>",
    "<!-- <p hidden> ]]> -->",
    "<textarea><title>",
    "&lt;b&gt; &amp; &#x26; &nbsp;",
)
A_PAGE = 10  # so many texts on one page are whole


@dataclass
class Traps:
    """A canary file, a named pipe and a door, and whether anybody used the last two."""

    file: Path
    pipe: Path
    door: socket.socket
    opened: list[str] = field(default_factory=list)

    def into(self, text: str) -> str:
        host = f"127.0.0.1:{self.door.getsockname()[1]}"
        text = text.replace("DOORHOST", host).replace("DOOR", f"http://{host}/x")
        return text.replace("FILE", str(self.file)).replace("PIPE", str(self.pipe))

    def watch_pipe(self) -> None:
        with self.pipe.open("w"):  # waits until somebody reads it
            self.opened.append("pipe")

    def watch_door(self) -> None:
        while True:
            try:
                visitor, _ = self.door.accept()
            except OSError:
                return
            self.opened.append("door")
            visitor.close()


@pytest.fixture
def traps() -> Iterator[Traps]:
    folder = Path(tempfile.mkdtemp())  # a short path, or the texts are cut as long ones are
    (folder / "f").write_text("the canary")
    os.mkfifo(folder / "p")
    made = Traps(folder / "f", folder / "p", socket.create_server(("127.0.0.1", 0)))
    watchers = [threading.Thread(target=w, daemon=True) for w in (made.watch_pipe, made.watch_door)]
    for watcher in watchers:
        watcher.start()
    yield made
    made.door.shutdown(socket.SHUT_RDWR)
    made.door.close()
    os.close(os.open(made.pipe, os.O_RDONLY | os.O_NONBLOCK))  # lets its watcher go
    for watcher in watchers:
        watcher.join(5)
    shutil.rmtree(folder)


def _squeezed(text: str) -> str:
    return "".join(text.split())


def test_there_are_fifty_and_more() -> None:
    assert len(set(TEXTS)) == len(TEXTS) >= 50


def test_hostile_words_are_shown_as_words(traps: Traps) -> None:
    texts = [traps.into(text) for text in TEXTS]
    for first in range(0, len(texts), A_PAGE):
        some = texts[first : first + A_PAGE]
        base = busy(len(some))
        sheet = replace(
            base,
            feet=(),
            horse_name=some[0][:60],
            case_title=some[-1][:60],
            items=tuple(replace(i, text=t) for i, t in zip(base.items, some, strict=True)),
        )
        reader = pypdf.PdfReader(io.BytesIO(sheet_page(sheet, paper="a4", time_limit_s=60).pdf))
        [page] = reader.pages
        shown = _squeezed(page.extract_text())
        for text in some:
            assert _squeezed(text) in shown, text
        assert "Callyourvetnow" in shown
        assert "thecanary" not in shown
        assert not reader.attachments
        assert len(page.images) == 0
        assert "/Annots" not in page
    assert traps.opened == []


def test_even_as_markup_they_open_nothing(traps: Traps) -> None:
    for text in TEXTS:
        html = f'<!doctype html><html lang="en"><head><title>x</title></head><body><p>whole</p>{traps.into(text)}</body></html>'
        pdf = html_to_pdf(html, paper="a4", time_limit_s=20)  # waiting at the pipe would fail
        assert b"the canary" not in pdf
        assert not pypdf.PdfReader(io.BytesIO(pdf)).attachments
    assert traps.opened == []


def test_the_traps_would_notice(traps: Traps) -> None:
    socket.create_connection(traps.door.getsockname(), timeout=5).close()
    with traps.pipe.open() as pipe:
        pipe.read()
    for _ in range(100):
        if len(traps.opened) == 2:
            break
        threading.Event().wait(0.05)
    assert sorted(traps.opened) == ["door", "pipe"]
