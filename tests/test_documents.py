"""The pages for people who work on it or run it: short where they promise it, and true of the tree."""

import re
from pathlib import Path

import pytest
from django.core.management import get_commands

from tests.test_imports import ROOMS

HOME = Path(__file__).resolve().parent.parent
PAGES = (
    "README.md",
    "DEVELOPERS.md",
    "caseboard/OPERATING.md",
    "tests/bench/FIGURES.md",
    ".github/SECURITY.md",
    ".github/CONTRIBUTING.md",
    ".github/CHANGELOG.md",
)
GUIDE_MOST_WORDS = 1500  # house default: read in a sitting
TOP = {path.name for path in HOME.iterdir()}
QUOTED = re.compile(r"`([^`\n]+)`")
LINK = re.compile(r"\]\((?!https?:)([^)#]+)\)")
COMMAND = re.compile(r"manage\.py ([a-z_]+)")
MODULE = re.compile(r"python -m ((?:\w+\.)+[a-z_]+)\b")


def text_of(page: str) -> str:
    return (HOME / page).read_text()


def paths_named(text: str) -> set[str]:
    """What stands in quotes and begins with a folder of ours, a test named in it aside."""
    words = {word.split("::")[0] for quoted in QUOTED.findall(text) for word in quoted.split()}
    return {word for word in words if word.split("/")[0] in TOP and not word.startswith("var")}


def there(path: str) -> bool:
    return any(HOME.glob(path)) if "*" in path else (HOME / path).exists()


@pytest.mark.parametrize("page", PAGES)
def test_every_path_and_link_on_the_page_leads_somewhere(page: str) -> None:
    text = text_of(page)
    links = {str((HOME / page).parent / link) for link in LINK.findall(text)}
    gone = {path for path in paths_named(text) if not there(path)}
    gone |= {link for link in links if not Path(link).exists()}
    assert gone == set()


@pytest.mark.parametrize("page", PAGES)
def test_every_command_on_the_page_is_one(page: str) -> None:
    text = text_of(page)
    modules = {name.replace(".", "/") for name in MODULE.findall(text) if name.startswith("tests")}
    unknown = {name for name in COMMAND.findall(text) if name not in get_commands()}
    unknown |= {name for name in modules if not there(f"{name}.py")}
    assert unknown == set()


def test_the_guide_is_short() -> None:
    assert len(text_of("DEVELOPERS.md").split()) <= GUIDE_MOST_WORDS


def test_the_guide_shows_the_floors_that_the_imports_are_held_to() -> None:
    rows = re.findall(r"^\| (\d) \| ([^|]+) \|", text_of("DEVELOPERS.md"), flags=re.MULTILINE)
    shown = {name: int(floor) for floor, names in rows for name in QUOTED.findall(names)}
    inside = {name: room.floor for name, room in ROOMS.items() if name != "migrations"}
    assert shown == inside


def test_the_map_names_what_is_there() -> None:
    drawn = text_of("DEVELOPERS.md").split("```\n")[1]
    top, missing = "", []
    for line in drawn.splitlines():
        names = re.split(r"\s{2,}", line.strip())[0].split()
        if not line.startswith(" "):
            top = names[0]
            names = [""]
        missing += [name for name in names if not there(f"{top}{name}")]
    assert missing == []


def test_a_path_that_is_gone_would_be_noticed() -> None:
    found = paths_named("see `horses/no_such_file.py` and `tests/cast.py::x`, not `a/b`")
    assert {path for path in found if not there(path)} == {"horses/no_such_file.py"}
