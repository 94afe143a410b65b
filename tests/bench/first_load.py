"""What a phone loads at its first look at a board: requests and bytes, as production sends them.

An installation with production's settings is prepared and served on this machine; the system's
Chromium opens the board with an empty cache. Fonts are counted apart. The service worker that keeps
the urgent page fetches in its own time, when the page is there: it is not counted.
"""

import json
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import (
    Browser,
    BrowserContext,
    Response,
    ViewportSize,
    sync_playwright,
)

from tests.caseboard.commands import ROOT, environment
from tests.caseboard.test_production_settings import WHOLE

PHONE: ViewportSize = {"width": 390, "height": 844}
CHROMIUM = "/usr/bin/chromium"
# One horse of 60 readings with a team, and somebody signed in: what `_filled` prints.
FILL = """
import json
from datetime import timedelta
from django.conf import settings
from django.urls import reverse
from caseboard.lib import clock
from horses.rules.engine import evaluate
from tests import build
from tests.bench.load_queries import signed
from tests.cast import make_cast
now = clock.now()
cast = make_cast(now)
for foot in ("LF", "RF"):
    build.series(cast.access(cast.farrier), now, [51.0] * 15, foot=foot)
evaluate(cast.horse, now=now)
cookie = signed(cast.owner).cookies[settings.SESSION_COOKIE_NAME]
print("FILLED", json.dumps([cookie.key, cookie.value, reverse("board", args=[cast.case.public_id])]))
"""
# The fullest board of the demo, before its owner.
FULLEST = """
import json
from django.conf import settings
from django.urls import reverse
from caseboard.demo import load
from caseboard.lib import clock
from horses.models import Case, Person
from tests.bench.load_queries import signed
load(clock.now())
owner = Person.objects.get(email="dorrit.vane@quillmarsh.example")
case = Case.objects.get(horse__name="Marigold", kind="concern")
cookie = signed(owner).cookies[settings.SESSION_COOKIE_NAME]
print("FILLED", json.dumps([cookie.key, cookie.value, reverse("board", args=[case.public_id])]))
"""


# What the page asked for after its load event.
ASKED_LATER = """() => {
  const loaded = performance.getEntriesByType("navigation")[0].loadEventStart;
  return performance.getEntriesByType("resource")
    .filter((one) => one.startTime >= loaded).map((one) => one.name);
}"""


@dataclass(frozen=True)
class Load:
    requests: int
    kilobytes: float  # compressed, without fonts
    largest_font_kb: float
    later_kilobytes: float  # asked for once the page had loaded: htmx, for the part that polls
    parts: tuple[str, ...]


def requests_of(quick: bool) -> float:
    return first_load().requests


def kilobytes_of(quick: bool) -> float:
    return first_load().kilobytes


def font_kilobytes(quick: bool) -> float:
    return first_load().largest_font_kb


@dataclass(frozen=True)
class Served:
    """A board under production's settings, and the cookie of somebody who sees it."""

    address: str
    board: str
    cookie: tuple[str, str]

    @property
    def url(self) -> str:
        return f"{self.address}{self.board}"


@contextmanager
def board_served(root: Path = ROOT, fill: str = FILL) -> Iterator[Served]:
    """Of this working copy, or of another one that has an environment of its own."""
    python = sys.executable if root == ROOT else str(root / ".venv/bin/python")
    with TemporaryDirectory() as folder:
        settings = {**WHOLE, "SITE_URL": "http://127.0.0.1", "ALLOWED_HOSTS": "127.0.0.1"}
        settings["TRUSTED_PROXIES"] = "0"
        settings["DJANGO_SETTINGS_MODULE"] = "caseboard.settings"
        settings["PYTHONPATH"] = str(root)
        env = environment(Path(folder), **settings)

        def run(*words: str) -> str:
            done = subprocess.run(
                [python, *words], cwd=root, env=env, check=True, capture_output=True, text=True
            )
            return done.stdout

        run("manage.py", "prepare")
        said = run("-c", f"import django\ndjango.setup()\n{fill}")
        name, value, board = json.loads(said.split("FILLED", 1)[1])
        serve = [python, "manage.py", "serve", "--port", "0"]
        with subprocess.Popen(
            serve, cwd=root, env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        ) as process:
            try:
                yield Served(_address(process), board, (name, value))
            finally:
                process.send_signal(signal.SIGTERM)


@cache
def first_load(fill: str = FILL) -> Load:
    with board_served(fill=fill) as served:
        return _looked_at(served)


def _address(process: "subprocess.Popen[str]") -> str:
    assert process.stdout is not None
    for line in process.stdout:
        if found := re.search(r"listens at (http://[\d.]+:\d+)", line):
            return found[1]
    raise RuntimeError("it ended without serving")


def visited(browser: Browser, served: Served) -> BrowserContext:
    """A phone with an empty cache, and its owner signed in."""
    context = browser.new_context(viewport=PHONE, service_workers="block")
    name, value = served.cookie
    context.add_cookies([{"name": name, "value": value, "url": served.address}])
    return context


def _looked_at(served: Served) -> Load:
    answers: list[Response] = []
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = visited(browser, served).new_page()
        page.on("response", lambda answer: answers.append(answer))
        page.goto(served.url, wait_until="networkidle")
        later = set(page.evaluate(ASKED_LATER))
        every = [(answer, _kilobytes(answer)) for answer in answers]
        browser.close()
    sizes = [(answer, size) for answer, size in every if answer.url not in later]
    fonts = [size for answer, size in sizes if answer.request.resource_type == "font"]
    return Load(
        requests=len(sizes),
        kilobytes=sum(size for _, size in sizes) - sum(fonts),
        largest_font_kb=max(fonts, default=0.0),
        later_kilobytes=sum(size for answer, size in every if answer.url in later),
        parts=tuple(f"{size:6.1f} kB  {answer.url}" for answer, size in every),
    )


def _kilobytes(answer: Response) -> float:
    return answer.request.sizes()["responseBodySize"] / 1000


def main() -> int:
    for fill in (FILL, FULLEST):
        load = first_load(fill)
        print("\n".join(load.parts))
        print(
            f"{load.requests} requests, {load.kilobytes:.1f} kB, font {load.largest_font_kb:.1f} kB; "
            f"then {load.later_kilobytes:.1f} kB"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
