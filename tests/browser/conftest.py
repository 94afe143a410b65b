"""A real browser before the real site: where it comes from, who sits at it, what it complained of.

The database calls of these tests run in the thread in which Playwright keeps an event loop, which
Django refuses unless told otherwise; it is told so here and nowhere else.
"""

import os
from collections.abc import Callable, Generator
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.conf import settings as django_settings
from django.core.cache import cache
from django.test import Client
from playwright.sync_api import Browser, ViewportSize, sync_playwright

from horses.models import Person
from tests.browser.chrome import ARGS, chromium_path
from tests.browser.likeness import LookedOver
from tests.browser.line import Line
from tests.browser.visitor import PHONE, Visitor
from tests.browser.watch import Watch

PATIENCE_MS = 20_000  # a machine that runs two of these at once is slow at times
Open = Callable[..., Visitor]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if item.path.parent.name == "browser":
            item.add_marker(pytest.mark.browser)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item,
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Leaves word for the fixtures below whether the test itself has failed."""
    report = yield
    if report.when == "call":
        item.stash[FAILED] = report.failed
    return report


FAILED = pytest.StashKey[bool]()


@pytest.fixture(scope="package")
def chromium() -> Generator[Browser, None, None]:
    """One browser for all tests of this folder, gone before the next folder's tests begin."""
    path = chromium_path()
    if path is None:
        pytest.skip("no Chromium on this machine (looked in the path, and for CHROMIUM)")
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        browser = playwright.chromium.launch(executable_path=path, args=ARGS)
        yield browser
        browser.close()


@pytest.fixture
def site(chromium: Browser, live_server: Any, settings: Any) -> str:
    """The address of the site. Mail goes to files, and its links lead here."""
    cache.clear()  # the counters of the limits are not rolled back
    settings.EMAIL_BACKEND = "caseboard.lib.mailbox.MailboxBackend"
    settings.SITE_URL = live_server.url
    return str(live_server.url)


@pytest.fixture
def line(site: str) -> Generator[Line, None, None]:
    """A way to the site that can be cut."""
    there = urlsplit(site)
    made = Line(there.hostname or "", there.port or 0)
    yield made
    made.end()


@pytest.fixture(scope="session")
def looked_over(tmp_path_factory: pytest.TempPathFactory) -> LookedOver:
    base = tmp_path_factory.getbasetemp()
    of_the_run = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    folder = of_the_run / "looked-over"
    folder.mkdir(exist_ok=True)
    return LookedOver(folder)


@pytest.fixture
def visitor(
    chromium: Browser,
    site: str,
    looked_over: LookedOver,
    request: pytest.FixtureRequest,
    tmp_path_factory: Any,
) -> Generator[Open, None, None]:
    """Opens a browser of its own for a person: `visitor("Ola", "ola@example.test", size=PHONE)`.

    Afterwards nothing may have been complained about on any page that anybody visited.
    """
    opened: list[Visitor] = []

    def open_one(
        name: str = "",
        email: str = "",
        *,
        size: ViewportSize = PHONE,
        scripts: bool = True,
        looks: bool = True,
        seen: set[tuple[str, int]] | None = None,
        touch: bool = False,
        locale: str = "en-GB",
    ) -> Visitor:
        context = chromium.new_context(
            viewport=size,
            has_touch=touch,
            java_script_enabled=scripts,
            locale=locale,
            timezone_id="UTC",
            reduced_motion="reduce",
        )
        context.set_default_timeout(PATIENCE_MS)
        one = Visitor(
            context,
            site,
            Watch().over(context),
            name,
            email,
            looks,
            scripts,
            looked_over=looked_over,
            seen=set() if seen is None else seen,
        )
        opened.append(one)
        return one

    yield open_one
    if request.node.stash.get(FAILED, True):
        _take_pictures(opened, tmp_path_factory.mktemp("pictures"))
    for one in opened:
        one.context.close()
    complaints = [line for one in opened for line in one.watch.complaints]
    assert not complaints, "the browser complained:\n" + "\n".join(complaints)
    faults = [line for one in opened for line in one.faults]
    assert not faults, "rules broken:\n" + "\n".join(faults)


def _take_pictures(opened: list[Visitor], folder: Any) -> None:
    """What each of them saw last, for whoever looks into a failure."""
    for number, one in enumerate(opened):
        path = folder / f"{number}-{one.name or 'anybody'}.png"
        one.page.screenshot(path=path, full_page=True)
        print(f"{one.name or 'anybody'} at {one.page.url}: picture {path}")


@pytest.fixture
def enter(visitor: Open) -> Open:
    """Opens a browser for somebody who is signed in already: `enter(cast.owner)`."""

    def open_signed_in(person: Person, *, by: Line | None = None, **more: Any) -> Visitor:
        one = visitor(person.name, person.email, **more)
        if by is not None:
            one.base = by.address
        become(one, person)
        return one

    return open_signed_in


def become(one: Visitor, person: Person) -> None:
    """Signs that browser in as them, whoever it was before."""
    client = Client()
    client.force_login(person)
    name = django_settings.SESSION_COOKIE_NAME
    cookie = client.cookies[name]
    one.context.add_cookies([{"name": name, "value": cookie.value, "url": one.base}])
