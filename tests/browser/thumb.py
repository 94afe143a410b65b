"""Counts what a thumb does on a phone, and the seconds that the keystroke-level model gives it.

The model and its times: Card, Moran & Newell, "The keystroke-level model for user performance time
with interactive systems", Commun ACM 1980;23:396-410 (the figures from memory). It was made for a
desk: a tap counts as pointing, a swipe too (house default), the keypad's "next" is a key, and one
"mental" pause stands before each value or button. It says what the form costs, not how quick a person with wet hands is.
"""

import math
from dataclasses import dataclass

from playwright.sync_api import Locator, expect

from tests.browser.visitor import PHONE, Visitor

KEY_S = 0.28  # K, an average typist who is no secretary (40 words a minute)
POINT_S = 1.10  # P
MENTAL_S = 1.35  # M
SWIPE_PX = 600  # house default: how far one swipe takes a page of 844 px
BAR_PX = 90  # what the bar with the button covers below, and the steps above


@dataclass
class Thumb:
    who: Visitor
    taps: int = 0
    keys: int = 0
    swipes: int = 0
    nexts: int = 0

    def tap(self, spot: Locator) -> None:
        self.swipes += self._swipes_to(spot)
        self.taps += 1
        spot.click()

    def type(self, name: str, text: str) -> None:
        """Taps the field and types into it, character by character."""
        self.tap(self.who.field(name))
        self.keys += len(text)
        self.who.page.keyboard.type(text)

    def next(self, name: str, text: str) -> None:
        """Goes on to the next value by the keypad's own key, which brings it into sight as well."""
        self.who.page.keyboard.press("Enter")
        expect(self.who.field(name)).to_be_focused()
        self.nexts += 1
        self.keys += 1 + len(text)
        self.who.page.keyboard.type(text)

    def _swipes_to(self, spot: Locator) -> int:
        top = spot.evaluate("el => el.getBoundingClientRect().top")
        in_the_bar = spot.evaluate("el => !!el.closest('.actionbar')")  # always in sight
        if in_the_bar or BAR_PX <= top <= PHONE["height"] - BAR_PX:
            return 0
        return math.ceil(abs(top - PHONE["height"] / 2) / SWIPE_PX)

    @property
    def seconds(self) -> float:
        pointed = self.taps + self.swipes
        return self.keys * KEY_S + pointed * POINT_S + (self.taps + self.nexts) * MENTAL_S
