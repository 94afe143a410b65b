"""Counts what a thumb does on a phone, and the seconds that the keystroke-level model gives it.

The model and its times: Card, Moran & Newell, "The keystroke-level model for user performance time
with interactive systems", Commun ACM 1980;23:396-410 (the figures from memory). It was made for a
desk: a tap counts as pointing, a swipe too (house default), and one "mental" pause stands before
each value or button. It says what the form costs, not how quick a person with wet hands is.
"""

import math
from dataclasses import dataclass

from playwright.sync_api import Locator

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

    def tap(self, spot: Locator) -> None:
        self.swipes += self._swipes_to(spot)
        self.taps += 1
        spot.click()

    def type(self, name: str, text: str) -> None:
        """Taps the field and types into it, character by character."""
        self.tap(self.who.field(name))
        self.keys += len(text)
        self.who.page.keyboard.type(text)

    def _swipes_to(self, spot: Locator) -> int:
        top = spot.evaluate("el => el.getBoundingClientRect().top")
        if BAR_PX <= top <= PHONE["height"] - BAR_PX or spot.evaluate("el => !!el.closest('.actionbar')"):  # fmt: skip
            return 0
        return math.ceil(abs(top - PHONE["height"] / 2) / SWIPE_PX)

    @property
    def seconds(self) -> float:
        pointed = self.taps + self.swipes
        return self.keys * KEY_S + pointed * POINT_S + self.taps * MENTAL_S
