"""One row of the first screen, and its button."""

from dataclasses import dataclass

from caseboard.glance.asks import Soon

NOW_UNITS = 2  # what may not wait is said in a row twice as high


@dataclass(frozen=True)
class Button:
    """Where a row leads with one tap: a phone, or a page. `name` is all of it for who hears it;
    `role` is what the person on the button is to the horse."""

    label: str
    href: str
    name: str
    rings: bool
    role: str = ""


@dataclass(frozen=True)
class Row:
    """One matter. `foot_word` stands beside its feet; `step` is what to do."""

    feet: tuple[str, ...]
    headline: str
    soon: Soon
    when: str
    step: str
    button: Button
    href: str
    foot_word: str
    is_danger: bool
    rank: int = 0  # among rows as soon and as dangerous
    severity: float = 0.0  # among rows of one rule, in its own unit: the worse foot first
    till_then: str = ""
    aside: str = ""  # of when it is; left out where rows are many

    @property
    def is_now(self) -> bool:
        return self.soon is Soon.NOW

    @property
    def is_word(self) -> bool:
        return self.soon is Soon.WORD

    @property
    def units(self) -> int:
        return NOW_UNITS if self.is_now else 1
