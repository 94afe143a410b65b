"""The house rules: what the code in a folder may do, and whom it may know. Read from the source.

Apps: caseboard -> measurements -> horses -> caseboard.lib; measurements.hoof knows nobody.
Inside an app a room imports from its own floor and those below.
One door: what belongs to a case is fetched where the reading starts from who asks.
"""

import ast
from collections.abc import Iterator
from enum import Enum
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

HOME = Path(__file__).resolve().parent.parent
APPS = ("caseboard", "horses", "measurements")
# An app may import these, and itself.
MAY_IMPORT = {
    "caseboard.lib": {"caseboard.lib"},
    "horses": {"horses", "caseboard.lib"},
    "measurements.hoof": {"measurements.hoof"},
    "measurements": {"measurements", "horses", "caseboard.lib"},
    "caseboard": {"caseboard", "measurements", "horses"},
}


class May(Enum):
    """What a room may do with rows."""

    THINK = "neither fetch nor write: works on what it is given"
    READ = "fetch, never write"
    WRITE = "fetch and write"


class Room(NamedTuple):
    floor: int  # imports from its own floor and those below
    may: May


GROUND, FACTS, READING, RECORDS, RULES, SERVICES, FORMS, DOORS = range(8)
ROOMS = {
    "models": Room(GROUND, May.WRITE),
    "migrations": Room(GROUND, May.WRITE),
    "hoof": Room(GROUND, May.THINK),
    "domain": Room(GROUND, May.THINK),
    "access": Room(FACTS, May.READ),
    "access_yard": Room(FACTS, May.READ),
    "wording": Room(FACTS, May.THINK),
    "charts": Room(FACTS, May.THINK),
    "importing": Room(FACTS, May.THINK),
    "pictures": Room(FACTS, May.THINK),
    "queries": Room(READING, May.READ),
    "presenters": Room(READING, May.THINK),
    "verdicts": Room(READING, May.WRITE),  # a verdict is kept with what it rests on
    "series": Room(READING, May.THINK),
    "panels": Room(READING, May.READ),
    "jobs": Room(RECORDS, May.WRITE),
    "ledger": Room(RECORDS, May.WRITE),
    "notices": Room(RECORDS, May.WRITE),
    "rules": Room(RULES, May.WRITE),
    "services": Room(SERVICES, May.WRITE),
    "forms": Room(FORMS, May.THINK),
    "accounts": Room(FORMS, May.WRITE),  # a slice: has forms, services and views of its own
    "views": Room(DOORS, May.THINK),
    "urls": Room(DOORS, May.THINK),
    "job_kinds": Room(DOORS, May.THINK),
    "apps": Room(DOORS, May.THINK),
    "management": Room(DOORS, May.WRITE),
}
PURE_OF = {"numpy", "cv2"}  # the second finds squares in an array of grey values
FETCHES = {"objects", "_default_manager", "_base_manager"}
WRITES = {
    "create",
    "bulk_create",
    "save",
    "delete",
    "update",
    "bulk_update",
    "get_or_create",
    "update_or_create",
    "aupdate",
    "acreate",
}


@cache
def _modules() -> dict[str, ast.Module]:
    """Read when they are first asked about: each process of the tests imports this file."""
    return dict(_read())


def _read() -> Iterator[tuple[str, ast.Module]]:
    for app in APPS:
        for path in sorted((HOME / app).rglob("*.py")):
            name = ".".join(path.relative_to(HOME).with_suffix("").parts)
            yield name.removesuffix(".__init__"), ast.parse(path.read_text())


def _imported(tree: ast.Module) -> Iterator[str]:
    """Every module named by an import, those inside functions too."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "relative imports hide who is known"
            yield node.module or ""
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def _within(name: str, parts: set[str]) -> bool:
    return any(name == part or name.startswith(f"{part}.") for part in parts)


def _home_of(name: str) -> str:
    """The longest entry of MAY_IMPORT that the module lies in."""
    return max((part for part in MAY_IMPORT if _within(name, {part})), key=len)


def _room(name: str) -> Room:
    parts = name.split(".")
    return ROOMS[parts[1]] if len(parts) > 1 else Room(GROUND, May.THINK)


def _ours(tree: ast.Module) -> Iterator[str]:
    """The modules of ours that are imported; a name imported from a module counts as the module."""
    for name in _imported(tree):
        if name in _modules():
            yield name


def test_the_apps_know_each_other_one_way_only() -> None:
    wrong = [
        f"{name} imports {other}"
        for name, tree in _modules().items()
        for other in _ours(tree)
        if not _within(other, MAY_IMPORT[_home_of(name)]) and other not in APPS
    ]
    assert wrong == []


def test_nobody_reaches_upstairs_in_their_own_app_or_another() -> None:
    wrong = [
        f"{name} imports {other}"
        for name, tree in _modules().items()
        if name.split(".")[0] != "caseboard"
        for other in _ours(tree)
        if other.split(".")[0] != "caseboard"
        and _room(other).floor > _room(name).floor
        # The doors open on everything: Django asks for the app's start-up, the outbox for its jobs.
        and _room(name).floor != DOORS
    ]
    assert wrong == []


def test_the_hoof_mathematics_know_numbers_only() -> None:
    allowed = PURE_OF | {
        "__future__",
        "bisect",
        "collections",
        "dataclasses",
        "datetime",
        "decimal",
        "enum",
        "fractions",
        "functools",
        "hashlib",
        "itertools",
        "math",
        "operator",
        "re",
        "statistics",
        "types",
        "typing",
        "unicodedata",
        "measurements",
    }
    wrong = [
        f"{name} imports {other}"
        for name, tree in _modules().items()
        if _within(name, {"measurements.hoof"})
        for other in _imported(tree)
        if other.split(".")[0] not in allowed
    ]
    assert wrong == []


def test_the_hoof_mathematics_never_look_at_the_clock_nor_at_a_file() -> None:
    asks = {"now", "today", "utcnow", "time", "open", "read_text"}
    for name, tree in _modules().items():
        if _within(name, {"measurements.hoof"}):
            calls = [node.func for node in ast.walk(tree) if isinstance(node, ast.Call)]
            called = {ast.unparse(call).split(".")[-1] for call in calls}
            assert not called & asks, name


def _fetches(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Every `Something.objects` and `_default_manager`, with its line."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and node.attr in FETCHES:
            yield node.lineno, ast.unparse(node)


def _writes(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Every call that may write a row: `rows.update(…)`, `row.save()`; not a set's or a hash's."""
    calls = (node.func for node in ast.walk(tree) if isinstance(node, ast.Call))
    for call in calls:
        if isinstance(call, ast.Attribute) and call.attr in WRITES:
            on_rows = "objects" in ast.unparse(call.value)
            if on_rows or call.attr in {"save", "bulk_create", "bulk_update"}:
                yield call.lineno, ast.unparse(call)


def _in_rooms() -> Iterator[tuple[str, ast.Module, Room]]:
    for name, tree in _modules().items():
        if name.split(".")[0] != "caseboard" and "." in name:
            yield name, tree, _room(name)


def test_every_folder_of_the_two_apps_is_in_the_table() -> None:
    apps = ("horses", "measurements")
    inside = {
        name.split(".")[1] for name in _modules() if name.split(".")[0] in apps and "." in name
    }
    assert inside == set(ROOMS)


def test_what_belongs_to_a_case_is_fetched_behind_one_door() -> None:
    wrong = [
        f"{name}:{line} {what}"
        for name, tree, room in _in_rooms()
        if room.may is May.THINK
        for line, what in _fetches(tree)
    ]
    # The board, the papers and the pages of the whole are put together from what others fetched.
    wrong += [
        f"{name}:{line} {what}"
        for name, tree in _modules().items()
        if name.startswith("caseboard.")
        and name.split(".")[1] not in ("management", "demo", "backup")
        for line, what in _fetches(tree)
    ]
    assert wrong == []


def test_a_room_that_reads_writes_nothing() -> None:
    wrong = [
        f"{name}:{line} {what}"
        for name, tree, room in _in_rooms()
        if room.may is not May.WRITE
        for line, what in _writes(tree)
    ]
    assert wrong == []


def test_the_domain_knows_no_database() -> None:
    """Models may be named there for their fields; what fetches, asks or answers a request may not."""
    wrong = [
        f"{name} imports {other}"
        for name, tree in _modules().items()
        if name.startswith("horses.domain.")
        for other in _imported(tree)
        if other.split(".")[0] == "django"
    ]
    assert wrong == []


@pytest.mark.parametrize("name", ["horses.access", "measurements.hoof.trend", "caseboard.board"])
def test_the_modules_that_are_looked_at_are_there(name: str) -> None:
    assert name in _modules()


def test_a_reach_upstairs_would_be_seen() -> None:
    tree = ast.parse("def f():\n    from horses.services.plan import latest_version\n")
    assert "horses.services.plan" in set(_ours(tree))
    assert _room("horses.services.plan").floor > _room("horses.queries.board").floor
    assert list(_fetches(ast.parse("Case.objects.get(pk=1)"))) == [(1, "Case.objects")]
    assert list(_writes(ast.parse("Case.objects.filter(pk=1).update(a=2)"))) != []
    assert list(_writes(ast.parse("known.update(other)"))) == []
