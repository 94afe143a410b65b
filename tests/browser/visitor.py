"""One person at one browser: goes, presses, fills in, and has every page looked over on the way."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from urllib.parse import urlsplit

from django.urls import Resolver404, resolve
from playwright.sync_api import BrowserContext, Locator, Page, Response, ViewportSize, expect

from tests.browser.axe import violations
from tests.browser.letters import code_for
from tests.browser.likeness import LookedOver
from tests.browser.measure import misfits
from tests.browser.watch import Watch

PHONE: ViewportSize = {"width": 390, "height": 844}
DESKTOP: ViewportSize = {"width": 1280, "height": 800}
OTHER = {390: DESKTOP, 1280: PHONE}
TALLEST_PX = 16_000  # what the browser can draw at once


@dataclass
class Visitor:
    """A signed-in person, or one on the way to it, with a phone or a desk before them."""

    context: BrowserContext
    base: str
    watch: Watch
    name: str = ""
    email: str = ""
    looks: bool = True  # whether pages are looked over; off where another test does it
    scripts: bool = True
    status: int = 0
    looked_over: LookedOver | None = None  # pages that other tests have had looked over
    seen: set[tuple[str, int]] = field(default_factory=set)  # kinds of pages looked over already
    faults: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page: Page = self.context.new_page()
        self.page.on("response", self._note_status)

    def _note_status(self, response: Response) -> None:
        asked = response.request
        by_script = asked.method == "POST" and "x-draft-key" in asked.headers
        if asked.is_navigation_request() or by_script:
            self.status = response.status

    # -- going about

    def go(self, path: str, *, status: int = 200) -> Page:
        self.page.goto(path if path.startswith("http") else self.base + path)
        return self.arrived(status)

    def control(self, name: str, *, inside: str = "main") -> Locator:
        """The button or link of exactly that name."""
        spot = self.page.locator(inside)
        button = spot.get_by_role("button", name=name, exact=True)
        return button.or_(spot.get_by_role("link", name=name, exact=True)).first

    def press(self, name: str, *, status: int = 200, inside: str = "main") -> Page:
        """Presses the button or follows the link of that name, to the page behind it."""
        self.unfold()
        return self.leaves(self.control(name, inside=inside).click, status=status)

    def leaves(self, act: Callable[[], object], *, status: int = 200) -> Page:
        """Waits for another page after `act`: one gone to, or an answer put in this one's place."""
        if not self.scripts:
            with self.page.expect_navigation(wait_until="load"):
                act()
            return self.arrived(status)
        self.page.evaluate("document.documentElement.dataset.before = 'yes'")
        act()
        self.page.locator("html:not([data-before])").wait_for(state="attached")
        return self.arrived(status)

    def open(self, summary: str, *, inside: str = "main") -> None:
        """Opens what is folded away behind these words."""
        self.page.locator(inside).locator("summary", has_text=summary).first.click()

    def unfold(self) -> None:
        """Opens every part of a board that is folded on a phone."""
        self.page.evaluate(
            "document.querySelectorAll('details.fold').forEach((f) => f.open = true)"
        )

    def arrived(self, status: int = 200) -> Page:
        """Looks the page over, once for each kind of page and answer."""
        self.page.wait_for_load_state("load")
        assert self.status == status, f"{self.status} at {self.page.url}: {self.text[:600]}"
        kind = (self.view_name, status)
        if self.looks and kind not in self.seen:
            self.seen.add(kind)
            self.unfold()
            self._look_over_once()
        return self.page

    def _look_over_once(self) -> None:
        """Unless a page that is the same to the letter was found well in this run."""
        size = self.page.viewport_size
        if self.looked_over is None or size is None:
            self.look_over()
            return
        sign = self.looked_over.sign_of(self.page, size, self.scripts)
        if sign.exists():
            return
        before = len(self.faults)
        self.look_over()
        if len(self.faults) == before:
            sign.touch()

    @property
    def view_name(self) -> str:
        try:
            return resolve(urlsplit(self.page.url).path).view_name
        except Resolver404:
            return "nowhere"

    def look_over(self) -> None:
        """Notes what breaks a rule on this page: in both looks, and in the other width too."""
        here = f"{self.name or 'anybody'} at {urlsplit(self.page.url).path} ({self.status})"
        size = self.page.viewport_size
        assert size is not None
        found = self._broken_rules(size) + self._broken_rules(OTHER[size["width"]])
        found += misfits(self.page)
        self.page.set_viewport_size(size)
        self.faults += [f"{here}: {line}" for line in found]

    def _broken_rules(self, size: ViewportSize) -> list[str]:
        """As if the whole page were on the screen: what a bar at its edge covers, scrolling shows."""
        width = size["width"]
        self.page.set_viewport_size(size)
        # the root, not scrollingElement: that is null for a moment while the styles are renewed
        height = min(self.page.evaluate("document.documentElement.scrollHeight"), TALLEST_PX)
        self.page.set_viewport_size({"width": width, "height": max(height, size["height"])})
        light = violations(self.page, "light")
        dark = violations(self.page, "dark", colours_only=True)
        return [f"{width} px wide, {line}" for line in light + dark]

    def until(self, expression: str) -> None:
        """Waits for the page's own script to have come so far. (Playwright's way to wait for an
        expression needs eval, which the content security policy refuses.)"""
        self.page.evaluate(
            f"""async () => {{
              for (let tries = 0; tries < 300; tries += 1) {{
                if (await ({expression})) return;
                await new Promise((next) => setTimeout(next, 50));
              }}
              throw new Error("never came so far");
            }}"""
        )

    # -- reading and filling in

    @property
    def text(self) -> str:
        self.unfold()
        return self.page.locator("main").inner_text()

    @property
    def case_id(self) -> str:
        found = re.search(r"/cases/([\w-]+)/", self.page.url)
        assert found, self.page.url
        return found[1]

    def sees(self, *texts: str) -> None:
        for text in texts:
            expect(self.page.locator("main")).to_contain_text(text)

    def sees_no(self, *texts: str) -> None:
        for text in texts:
            expect(self.page.locator("body")).not_to_contain_text(text)

    def field(self, name: str) -> Locator:
        """A control of a form by the name it is sent under."""
        return self.page.locator(f"main [name='{name}']:not([type=hidden])").first

    def fill(self, **values: str) -> None:
        for name, value in values.items():
            self.field(name).fill(value)

    def tick(self, name: str, *values: str) -> None:
        for value in values:
            self.page.locator(f"main [name='{name}'][value='{value}']").check()

    # -- signing up and in

    def sign_up(self) -> None:
        self.go("/accounts/signup/")
        self.sign_up_here()

    def sign_up_here(self) -> None:
        self.fill(name=self.name, email=self.email)
        self.press("Go on")
        self.fill(code=code_for(self.email))
        self.press("That is my address")

    def sign_in(self) -> None:
        self.go("/accounts/login/")
        self.sign_in_here()

    def sign_in_here(self) -> None:
        self.fill(email=self.email)
        self.press("Send me a code")
        self.fill(code=code_for(self.email))
        self.press("Sign in")
