"""Whether the histories in a backup fit, and the rows and photos that they speak of: what
`verify_history` asks of the database in use, asked of the rows of a backup."""

import json
from collections import defaultdict
from collections.abc import Iterator
from datetime import UTC
from typing import Any, NamedTuple

from caseboard.backup.tables import Model
from horses.ledger.append import line_hash
from horses.ledger.photo_check import ADDED, photos_against_lines
from horses.ledger.row_seal import row_name, row_seal
from horses.ledger.verify_rows import sealed_models
from horses.models import Case, HistoryLine, Person, Picture
from horses.models.base import AppendOnly, stored_label
from horses.models.picture import OF_ONE

COLUMNS = (
    "seq",
    "actor_name",
    "actor_role",
    "verb",
    "subject",
    "audience",
    "before",
    "after",
    "request_id",
)


# The models that pictures are added to, and what a picture calls them.
THINGS: dict[Model, str] = {
    model: kind for kind in OF_ONE if (model := Picture._meta.get_field(kind).related_model)
}


class Link(NamedTuple):
    """What is kept of a line to follow its chain."""

    seq: int
    prev_hash: str
    line_hash: str
    fits: bool


class HistoryCheck:
    """Takes every row of every table, in the order of their names, then says what does not fit."""

    def __init__(self) -> None:
        self._cases: dict[int, dict[str, Any]] = {}
        self._links: dict[int, list[Link]] = defaultdict(list)
        self._people: dict[int, str] = {}
        self._actors: dict[tuple[int | None, str], int] = {}
        self._sealed = {stored_label(model): model for model in sealed_models()}
        self._seals: dict[str, str] = {}  # of the rows that are there
        self._said: dict[str, tuple[str, int, int]] = {}  # seal, case, line
        # What pictures are added to: the address of each, by its kind and number.
        self._things: dict[tuple[str, int], str] = {}
        self._pictures: list[dict[str, Any]] = []
        self._photo_lines: list[tuple[str, Any]] = []
        self._left_out: set[str] = set()

    def take(self, model: Model, row: dict[str, Any]) -> None:
        if model is Case:
            self._cases[row["id"]] = row
        elif model is Person:
            self._people[row["id"]] = row["public_id"]
        elif model is HistoryLine:
            self._take_line(row)
        elif model is Picture:
            self._pictures.append(row)
        elif kind := THINGS.get(model):
            self._things[kind, row["id"]] = row["public_id"]
        if stored_label(model) in self._sealed:
            kept = model(**row)
            assert isinstance(kept, AppendOnly)
            self._seals[row_name(kept)] = row_seal(kept)

    def leave_out(self, model: Model) -> None:
        self._left_out.add(stored_label(model))

    def _take_line(self, row: dict[str, Any]) -> None:
        case, seq = row["case_id"], row["seq"]
        said = _content(row["canonical"])
        whole = row["line_hash"] == line_hash(row["prev_hash"], row["canonical"])
        same = (
            all(name in said and row[name] == said[name] for name in COLUMNS)
            and said.get("at") == row["at"].astimezone(UTC).isoformat()
            and (case not in self._cases or said.get("case") == self._cases[case]["public_id"])
        )
        self._links[case].append(Link(seq, row["prev_hash"], row["line_hash"], whole and same))
        self._actors[row["actor_id"], str(said.get("actor", ""))] = case
        if row["verb"] in ADDED:
            self._photo_lines.append((row["subject"], row["after"]))
        seals = said.get("rows", {})
        for name, seal in seals.items() if isinstance(seals, dict) else ():
            self._said[name] = (seal, case, seq)

    def troubles(self) -> Iterator[str]:
        """Skips a table that could not be read, because that was reported already."""
        if not {"horses.Case", "horses.HistoryLine"} & self._left_out:
            yield from self._chains()
            yield from self._rows()
        if "horses.Person" not in self._left_out:
            yield from self._who()
        kinds: list[Model] = [*THINGS, Picture, HistoryLine]
        needed = {stored_label(model) for model in kinds}
        if not needed & self._left_out:
            photos = [(self._thing_of(row), row["sha256"]) for row in self._pictures]
            yield from photos_against_lines(self._photo_lines, photos)

    def _thing_of(self, picture: dict[str, Any]) -> str:
        for kind in OF_ONE:
            if number := picture[f"{kind}_id"]:
                return self._things.get((kind, number), "")
        return str(picture["public_id"])

    def remarks(self) -> Iterator[str]:
        unknown: dict[str, int] = defaultdict(int)
        for name in self._seals.keys() - self._said.keys():
            unknown[name.partition(":")[0]] += 1
        for label, count in sorted(unknown.items()):
            yield (
                f"{label}: {count} row(s) that no line speaks of: from before the lines carried "
                "fingerprints, or put in beside the program."
            )

    def _chains(self) -> Iterator[str]:
        for case_id in sorted(self._links.keys() - self._cases.keys()):
            yield f"history of case number {case_id}: there is no such case"
        for case_id, case in self._cases.items():
            before, expected = "", 1
            for link in sorted(self._links[case_id]):
                if link.seq != expected or link.prev_hash != before or not link.fits:
                    yield f"history of case {case['public_id']}: line {link.seq} was changed"
                before, expected = link.line_hash, link.seq + 1
            if (case["last_seq"], case["last_hash"]) != (expected - 1, before):
                yield f"history of case {case['public_id']}: its end is missing"

    def _who(self) -> Iterator[str]:
        for (actor, said), case in self._actors.items():
            if (self._people.get(actor, "?") if actor is not None else "") != said:
                yield f"history of case {self._name(case)}: who wrote a line was changed"

    def _rows(self) -> Iterator[str]:
        gone_with_table = {label.lower() for label in self._left_out}
        for name, (seal, case, seq) in self._said.items():
            if name.partition(":")[0] in gone_with_table:
                continue
            where = f"{name.replace(':', ' ')}, line {seq} of case {self._name(case)}"
            if name not in self._seals:
                yield f"{where}: the row is gone"
            elif self._seals[name] != seal:
                yield f"{where}: the row was changed"

    def _name(self, case_id: int) -> str:
        return str(self._cases[case_id]["public_id"]) if case_id in self._cases else str(case_id)


def _content(canonical: str) -> dict[str, Any]:
    try:
        said = json.loads(canonical)
    except (ValueError, RecursionError):
        return {}
    return said if isinstance(said, dict) else {}
