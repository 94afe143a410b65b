"""HTML to PDF, in a child process that can be killed.

The child (caseboard/lib/pdf/child.py) is started with the first sheet and kept warm. It reads
nothing but what it is sent, `data:` addresses and our own static files. It has a memory limit and, for
each request, a limit of processor time: a busy machine makes a sheet late and not impossible. One
sheet at a time a process: others wait their turn.

Decided 2026-11: the child is kept warm: it reads fonts and style sheets once and collects garbage
between layouts only, which was two thirds of a layout.
"""

import atexit
import base64
import json
import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from django.conf import settings

from caseboard.lib.pdf.pipe_messages import read_message, write_message

if TYPE_CHECKING:
    import cffi

Paper = Literal["a4", "letter"]
PAGE_SIZES: dict[Paper, str] = {"a4": "A4", "letter": "letter"}

TIME_LIMIT_S = 20  # processor time; house default: a full sheet takes well under a second
# By the clock, whatever else the machine does: a child that hangs is not waited for longer than so
# many times its processor time. House default.
CLOCK_TIMES = 5
MEMORY_LIMIT_MB = 1024  # house default: a full sheet takes about 300 MB of address space
SHEETS_A_CHILD = 200  # house default: then a fresh child, whatever a library may have leaked

PANGO_WORDS = (
    "PDFs need the Pango library (1.44 or newer). "
    "Debian or Ubuntu: apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0. "
    "macOS: brew install pango. "
    "Windows: install MSYS2, then run pacman -S mingw-w64-ucrt-x86_64-pango in it. "
    "Everything else works without it."
)
# The names under which the platforms know the libraries that cannot be done without.
NEEDED_LIBRARIES = (
    (
        "libpango-1.0-0",
        "pango-1.0-0",
        "pango-1.0",
        "libpango-1.0.so.0",
        "libpango-1.0.dylib",
        "libpango-1.0-0.dll",
    ),
    (
        "libpangoft2-1.0-0",
        "pangoft2-1.0-0",
        "pangoft2-1.0",
        "libpangoft2-1.0.so.0",
        "libpangoft2-1.0.dylib",
        "libpangoft2-1.0-0.dll",
    ),
)


class PdfUnavailable(Exception):
    """A library of the system is missing; the message says which and how to install it."""


class PdfFailed(Exception):
    """This document could not be made: too slow, too large, or not readable."""


def html_to_pdf(html: str, *, paper: Paper, time_limit_s: float = TIME_LIMIT_S) -> bytes:
    """The document as a tagged PDF with its fonts inside; the same HTML gives the same bytes.

    `paper` is the page size for HTML whose own CSS does not set one. Addresses in the HTML may be
    `data:` or begin with STATIC_URL; all others are left out.
    """
    with drawing(paper=paper, time_limit_s=time_limit_s) as sheet:
        sheet.lay_out(0, html)
        return sheet.write(0)


class Drawing:
    """One sheet being drawn: drafts of it are laid out, then one of them is written."""

    def __init__(self, child: "_Child", paper: Paper, most_pages: int, time_limit_s: float) -> None:
        self._child, self._page_size, self._most_pages = child, PAGE_SIZES[paper], most_pages
        self._cpu_left_s = time_limit_s
        self._until = time.monotonic() + CLOCK_TIMES * time_limit_s

    def lay_out(self, draft: int, html: str) -> tuple[int, float]:
        """How many pages this draft takes, and where on the last of them the element with the id
        END ends, in CSS pixels from the top (0 without one)."""
        page = {
            "draft": draft,
            "html": html,
            "page_size": self._page_size,
            "most_pages": self._most_pages,
        }
        answer = self._ask({"do": "lay out", "page": page})
        return answer["pages"], answer["end"]

    def write(self, draft: int) -> bytes:
        """A draft that was laid out and does not take more pages than the drawing may."""
        return base64.b64decode(self._ask({"do": "write", "draft": draft})["pdf"])

    def _ask(self, request: dict[str, Any]) -> dict[str, Any]:
        asked = {**request, "cpu_s": max(0.05, self._cpu_left_s)}
        answer = self._child.ask(asked, self._until - time.monotonic())
        self._cpu_left_s -= answer["cpu_s"]
        return answer


@contextmanager
def drawing(*, paper: Paper, most_pages: int = 0, time_limit_s: float) -> Iterator[Drawing]:
    """The child to oneself, for at most `time_limit_s` of processor time; 0 pages: any number."""
    with _lock:
        child = _child()
        child.sheets += 1
        yield Drawing(child, paper, most_pages, time_limit_s)


def pango_missing() -> str:
    """What to install, or the empty text when PDFs can be made. Loads no more than the library."""
    if os.name == "nt":  # the child knows where to look there
        return ""
    import cffi  # here: every command imports this module, few ask this

    ffi = cffi.FFI()
    found = all(any(_loads(ffi, name) for name in names) for names in NEEDED_LIBRARIES)
    return "" if found else PANGO_WORDS


def _loads(ffi: "cffi.FFI", name: str) -> bool:
    try:
        ffi.dlopen(name)
    except OSError:
        return False
    return True


def static_roots() -> list[str]:
    """The folders that hold our static files: as written, and as collected for production."""
    roots = [*settings.STATICFILES_DIRS, settings.STATIC_ROOT]
    return [str(Path(root).resolve()) for root in roots if root and Path(root).is_dir()]


class _Child:
    def __init__(self) -> None:
        self.owner = os.getpid()  # a forked process must not talk to its parent's child
        self.sheets = 0
        self._process = subprocess.Popen(
            [sys.executable, "-m", "caseboard.lib.pdf.child"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            cwd=settings.BASE_DIR,
            env=_child_environment(),
        )

    @property
    def usable(self) -> bool:
        alive = self._process.poll() is None
        return alive and self.owner == os.getpid() and self.sheets < SHEETS_A_CHILD

    def ask(self, request: dict[str, Any], time_limit_s: float) -> dict[str, Any]:
        """Sends one request and waits for its answer; a timer kills a child that is too slow."""
        timer = threading.Timer(max(0.0, time_limit_s), self._process.kill)
        timer.start()
        try:
            answer = self._exchange(request)
        finally:
            timer.cancel()
        if answer is None:
            self.kill()
            raise PdfFailed("Making the PDF took too long or too much memory.")
        return _done(answer)

    def _exchange(self, request: dict[str, Any]) -> dict[str, Any] | None:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        try:
            write_message(self._process.stdin, request)
            return read_message(self._process.stdout)
        except (BrokenPipeError, EOFError):
            return None

    def kill(self) -> None:
        if self.owner == os.getpid():
            self._process.kill()
            self._process.wait()


def _child_environment() -> dict[str, str]:
    """The least it needs: no secrets, no database, and the same time stamps in fonts every time."""
    kept = (
        "PATH",
        "HOME",
        "LANG",
        "SYSTEMROOT",
        "TEMP",
        "TMPDIR",
        "WEASYPRINT_DLL_DIRECTORIES",
        "FONTCONFIG_FILE",
        "FONTCONFIG_PATH",
        "XDG_CACHE_HOME",
        "DYLD_FALLBACK_LIBRARY_PATH",
    )
    return {
        **{name: os.environ[name] for name in kept if name in os.environ},
        "SOURCE_DATE_EPOCH": "0",
        "HTML_PDF": json.dumps(
            {
                "static_url": settings.STATIC_URL,
                "static_roots": static_roots(),
                "memory_mb": MEMORY_LIMIT_MB,
            }
        ),
    }


def _done(answer: dict[str, Any]) -> dict[str, Any]:
    match answer["state"]:
        case "done":
            return answer
        case "unavailable":
            raise PdfUnavailable(PANGO_WORDS)
        case _:
            raise PdfFailed(f"The PDF could not be made ({answer['why']}).")


_lock = threading.Lock()
_current: _Child | None = None


def _child() -> _Child:
    global _current
    if _current is None or not _current.usable:
        pdf_child_stop()
        _current = _Child()
    return _current


def pdf_child_stop() -> None:
    """Ends the warm child, if there is one; the next sheet starts another."""
    global _current
    if _current is not None:
        _current.kill()
        _current = None


atexit.register(pdf_child_stop)
