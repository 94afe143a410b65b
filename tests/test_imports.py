"""The house rules on who may know whom, read from the source.

Apps: caseboard -> measurements -> horses -> caseboard.lib; measurements.hoof knows nobody.
Inside an app: views, tasks, commands -> forms -> services -> queries, access, history -> models.
One door: what belongs to a case is fetched where the reading starts from who asks.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

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
# Inside an app, from the ground up; a module imports from its own floor and those below.
MODELS, READING, SERVICES, FORMS, DOORS = range(5)
FLOORS = {
    "models": MODELS, "migrations": MODELS, "hoof": MODELS, "signs": MODELS, "urgent": MODELS,
    "services": SERVICES, "forms": FORMS,
    "views": DOORS, "urls": DOORS, "tasks": DOORS, "management": DOORS, "apps": DOORS,
    "adapter": DOORS, "templatetags": DOORS,
}  # fmt: skip
PURE_OF = {"numpy"}
# Where rows of a case may be fetched: these start from a standing, a person or a horse at work.
FETCHING = {
    "horses": {
        "models", "migrations", "services", "access", "alert_life", "alert_quiet", "alert_told", "heartbeat", "history", "judge", "lease",
        "moments", "notice_mail", "notices", "once", "photo_check", "plan_state", "queries", "queries_alerts", "queries_cutting", "queries_feed", "queries_flag",
        "queries_hand_over", "queries_herd", "queries_lately", "queries_own", "queries_plan", "queries_rhythm", "queries_round", "queries_round_sheet", "queries_sheet", "queries_shoes", "queries_versions",
        "rules", "rules_lameness", "rules_plan", "rules_shoes", "rules_visits", "sign_in_store", "unheard", "verify", "verify_rows", "watch", "work",
    },
    "measurements": {
        "models", "migrations", "services", "queries", "queries_own", "queries_round", "rules", "rules_calendar", "rules_jumps", "verdicts",
    },
}  # fmt: skip


def _modules() -> Iterator[tuple[str, ast.Module]]:
    for app in APPS:
        for path in sorted((HOME / app).rglob("*.py")):
            name = ".".join(path.relative_to(HOME).with_suffix("").parts)
            yield name.removesuffix(".__init__"), ast.parse(path.read_text())


MODULES = dict(_modules())


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


def _floor(name: str) -> int:
    parts = name.split(".")
    return FLOORS.get(parts[1], READING) if len(parts) > 1 else MODELS


def _ours(tree: ast.Module) -> Iterator[str]:
    """The modules of ours that are imported; a name imported from a module counts as the module."""
    for name in _imported(tree):
        if name in MODULES:
            yield name


def test_the_apps_know_each_other_one_way_only() -> None:
    wrong = [
        f"{name} imports {other}"
        for name, tree in MODULES.items()
        for other in _ours(tree)
        if not _within(other, MAY_IMPORT[_home_of(name)]) and other not in APPS
    ]
    assert wrong == []


def test_nobody_reaches_upstairs_in_their_own_app_or_another() -> None:
    wrong = [
        f"{name} imports {other}"
        for name, tree in MODULES.items()
        if name.split(".")[0] != "caseboard"
        for other in _ours(tree)
        if other.split(".")[0] != "caseboard"
        and _floor(other) > _floor(name)
        # Django asks for the app's start-up; it registers the rules and the kinds of work.
        and _floor(name) != DOORS
    ]
    assert wrong == []


def test_the_hoof_mathematics_know_numbers_only() -> None:
    allowed = PURE_OF | {
        "__future__", "bisect", "collections", "dataclasses", "datetime", "decimal", "enum",
        "fractions", "functools", "hashlib", "itertools", "math", "operator", "re", "statistics", "types",
        "typing", "unicodedata", "measurements",
    }  # fmt: skip
    wrong = [
        f"{name} imports {other}"
        for name, tree in MODULES.items()
        if _within(name, {"measurements.hoof"})
        for other in _imported(tree)
        if other.split(".")[0] not in allowed
    ]
    assert wrong == []


def test_the_hoof_mathematics_never_look_at_the_clock_nor_at_a_file() -> None:
    asks = {"now", "today", "utcnow", "time", "open", "read_text"}
    for name, tree in MODULES.items():
        if _within(name, {"measurements.hoof"}):
            calls = [node.func for node in ast.walk(tree) if isinstance(node, ast.Call)]
            called = {ast.unparse(call).split(".")[-1] for call in calls}
            assert not called & asks, name


def _fetches(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Every `Something.objects` and `_default_manager`, with its line."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and node.attr in (
            "objects", "_default_manager", "_base_manager",
        ):  # fmt: skip
            yield node.lineno, ast.unparse(node)


def test_what_belongs_to_a_case_is_fetched_behind_one_door() -> None:
    commands_and_demo = ("management", "demo")
    wrong = []
    for name, tree in MODULES.items():
        app, *rest = name.split(".")
        if rest and rest[0] in (*commands_and_demo, *FETCHING.get(app, ())):
            continue
        wrong += [f"{name}:{line} {what}" for line, what in _fetches(tree)]
    assert wrong == []


@pytest.mark.parametrize("name", ["horses.access", "measurements.hoof.trend", "caseboard.board"])
def test_the_modules_that_are_looked_at_are_there(name: str) -> None:
    assert name in MODULES


def test_a_reach_upstairs_would_be_seen() -> None:
    tree = ast.parse("def f():\n    from horses.services.plan import latest_version\n")
    assert "horses.services.plan" in set(_ours(tree))
    assert _floor("horses.services.plan") > _floor("horses.queries")
    assert list(_fetches(ast.parse("Case.objects.get(pk=1)"))) == [(1, "Case.objects")]
