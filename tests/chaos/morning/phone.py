"""One person's phone for a morning: a browser with a store of its own that is closed and opened again."""

import logging
import time
from contextlib import suppress
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Error, Frame, Page, Playwright

from tests.browser.ask_worker import ASK
from tests.browser.chrome import ARGS
from tests.browser.line import Line

log = logging.getLogger(__name__)
PATIENCE_MS = 45_000  # longer than the worker waits for a page that it does not have
COUNTS = """() => window.drafts.list().then((all) => all.filter((one) => one.state !== 'typing')
  .map(({ kind, state, last, shown }) => ({ kind, state, shown, last: last && { ...last, html: undefined } })))"""
STATE = """navigator.serviceWorker.getRegistration().then((one) => JSON.stringify(
  [one.installing?.state, one.waiting?.state, one.active?.state, Boolean(navigator.serviceWorker.controller)]))"""
ERROR_PAGE = "chrome-error://"
OTHER_WAY = (
    "is interrupted by another navigation",
    "net::ERR_ABORTED",
    "Execution context was destroyed",
)


class Phone:
    """`line` is all that its requests meet. `error_pages`: what the browser itself showed."""

    def __init__(
        self, playwright: Playwright, chromium: str, folder: Path, name: str, line: Line
    ) -> None:
        self._playwright, self._chromium, self._folder = playwright, chromium, folder
        self.name, self.line = name, line
        self.error_pages: list[str] = []
        self.restarts = 0
        self.stood_still = 0
        self.open()

    def open(self) -> None:
        self.context: BrowserContext = self._playwright.chromium.launch_persistent_context(
            str(self._folder),
            executable_path=self._chromium,
            args=ARGS,
            viewport={"width": 390, "height": 844},
            locale="en-GB",
            timezone_id="UTC",
            reduced_motion="reduce",
        )
        self.context.set_default_timeout(PATIENCE_MS)
        self.page: Page = self.context.pages[0] if self.context.pages else self.context.new_page()
        self.page.on("framenavigated", self._looked_at)

    def sign_in(self, cookie: str, session: str) -> None:
        """Stays signed in when the browser is closed, as a phone does."""
        until = time.time() + 24 * 3600
        one: Any = {"name": cookie, "value": session, "url": self.line.address, "expires": until}
        self.context.add_cookies([one])

    def restart(self) -> None:
        self.context.close()
        self.open()
        self.restarts += 1

    def another_page(self) -> None:
        """In place of one that neither goes on nor answers: a browser's own navigation stands still now and
        then on a busy machine, with nothing asked of site or worker, and a person taps again."""
        self.stood_still += 1
        log.info("%s, line %s: a page stands still", self.name, self.line.mode)
        still, self.page = self.page, self.context.new_page()
        self.page.on("framenavigated", self._looked_at)
        with suppress(Error):
            still.close()

    def _looked_at(self, frame: Frame) -> None:
        if frame == self.page.main_frame and frame.url.startswith(ERROR_PAGE):
            self.error_pages.append(f"{self.name}, line {self.line.mode}")

    def go(self, path: str) -> None:
        """As somebody who taps a link while another page may still be coming."""
        for last in (False, False, True):
            try:
                self.page.goto(self.line.address + path, wait_until="load")
                return
            except Error as error:
                if last or not any(words in error.message for words in OTHER_WAY):
                    words = f"{self.name}, line {self.line.mode}, {path}: {error.message[:120]}"
                    self.error_pages.append(words)
                    log.info("error page? %s, now at %s", words, self.page.url)
                    return
                time.sleep(0.3)

    def fetch_ahead(self) -> None:
        message = {"type": "fetch-ahead", "address": self.page.url, "isNew": True, "now": True}
        self.page.evaluate(ASK, {**message, "saveData": False})

    def worker_is(self) -> str:
        """Which version looks after the pages, or does so once the one before has done its work: it
        goes on fetching for a while. The first one does not know the question."""
        self.page.evaluate(
            "navigator.serviceWorker.ready.then((one) => one.update()).then(() => 1)"
        )
        for _ in range(60):
            asked = f"({ASK})({{ type: 'which' }})"
            late = "new Promise((next) => setTimeout(next, 500, 'first'))"
            if (found := self.page.evaluate(f"Promise.race([{asked}, {late}])")) != "first":
                return str(found)
        state = self.page.evaluate(STATE)
        return "second" if "installed" in state else f"first, {state}"

    def waiting(self) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = self.page.evaluate(COUNTS)
        return found

    def send_all(self, seconds: float) -> list[dict[str, Any]]:
        """Until nothing waits, or what waits needs its writer; returns what is left."""
        end = time.monotonic() + seconds
        self.go("/me/waiting/")
        left = [{"kind": "not looked at"}]
        while time.monotonic() < end:
            with suppress(Error):  # a page that goes on meanwhile
                self.page.evaluate("window.drafts.now()")
                left = self.waiting()
                if all(one["state"] == "needs you" for one in left):
                    break
            time.sleep(0.5)
        return left
