"""The filters of the herd page, as they stand in its address. Pure: no queries."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from horses.domain.trim_cycle import ASKED, DUE, OVERDUE, SOON
from horses.queries.herd import CALM, NEEDS_SOMEONE, HerdLine
from horses.queries.places import place_key, place_name

NEEDS = {
    "": "all",
    "someone": "needs someone",
    "due": "due or overdue",
    "soon": "due soon",
    "flags": "open flags",
    "alerts": "alerts",
    "waiting": "wait for my word",
    "resting": "paused or ended",
}
SHOES = {
    "": "any",
    "barefoot": "barefoot",
    "front": "front shoes",
    "all": "shod all round",
    "other": "another way",
}
SEARCH_MOST = 80  # characters: a name is no longer


@dataclass(frozen=True)
class HerdFilter:
    """Anything unknown in the address counts as not said."""

    need: str = ""
    shoes: str = ""
    yard: str = ""
    view: str = ""
    search: str = ""

    @classmethod
    def read(cls, query: Mapping[str, str], *, own_view: str) -> "HerdFilter":
        """`own_view`: how the person wants the list to open; an address may say otherwise."""
        asked = query.get("view")
        view = asked if asked in ("cards", "lines") else own_view
        return cls(
            search=" ".join(query.get("q", "").split())[:SEARCH_MOST],
            need=query.get("need", "") if query.get("need") in NEEDS else "",
            shoes=query.get("shoes", "") if query.get("shoes") in SHOES else "",
            yard=query.get("yard", ""),
            view=view,
        )

    @property
    def is_set(self) -> bool:
        return bool(self.need or self.shoes or self.yard or self.search)

    @property
    def is_folded_open(self) -> bool:
        return bool(self.need or self.shoes or self.yard)

    @property
    def is_by_line(self) -> bool:
        return self.view == "lines"

    @property
    def other_view(self) -> str:
        return "cards" if self.is_by_line else "lines"

    @property
    def here(self) -> str:
        """The address of the same horses, shown as the person wants them."""
        return self._address()

    def page_address(self, number: int) -> str:
        """The address of another page of the same horses, shown the same way."""
        return self._address(view=self.view, page=str(number))

    def _address(self, **more: str) -> str:
        said = {"q": self.search, "need": self.need, "shoes": self.shoes, "yard": self.yard, **more}
        return "?" + urlencode({key: value for key, value in said.items() if value})

    def keeps(self, line: HerdLine) -> bool:
        place = not self.yard or place_key(line.horse) == self.yard.casefold()
        return place and self._found(line) and self._needed(line) and self._shod(line)

    def _found(self, line: HerdLine) -> bool:
        """Every word of the search is in the name or in the place."""
        text = f"{line.horse.name} {line.horse.yard}".casefold()
        return all(word in text for word in self.search.casefold().split())

    def _needed(self, line: HerdLine) -> bool:
        due = line.due.state
        return {
            "": True,
            "someone": line.rank in NEEDS_SOMEONE,
            "due": due in (DUE, OVERDUE, ASKED) or line.is_late,
            "soon": due == SOON,
            "flags": line.flag_count > 0,
            "alerts": line.alerts > 0,
            "waiting": line.waiting > 0,
            "resting": line.rank > CALM,
        }[self.need]

    def _shod(self, line: HerdLine) -> bool:
        words = {"barefoot": "barefoot", "front shoes": "front", "shod all round": "all"}
        return not self.shoes or words.get(line.shoes.name, "other") == self.shoes


def places_of(herd: Sequence[HerdLine]) -> list[str]:
    """Every place once, as it was first written."""
    found: dict[str, str] = {}
    for line in herd:
        if key := place_key(line.horse):
            found.setdefault(key, place_name(line.horse))
    return [found[key] for key in sorted(found)]
