"""The one style sheet and the one script of every page: whole, in order, up to date."""

import json
import os
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders

from caseboard.bundles import (
    LIBRARIES,
    PRINT_STYLES,
    SCRIPT_FILE,
    SCRIPTS,
    STYLE_FILE,
    STYLES,
    VISIT_SCRIPTS,
    BundleFinder,
    bare,
    scripts_joined,
    styles_joined,
)
from tests.caseboard.commands import manage
from tests.caseboard.test_production_settings import WHOLE

STATIC = Path(settings.BASE_DIR) / "caseboard/static"
# What few pages need is theirs alone.
APART = {
    "css/barn.css",
    "css/door.css",
    "css/picture-card.css",
    "css/pictures.css",
    "css/points.css",
    "css/sheet-fonts.css",
    "css/sheet.css",
    "css/visit.css",
    "js/card-asked.js",
    "js/chart.js",
    "js/drafts/waiting.js",
    "js/flag.js",
    "js/order.js",
    "js/passkey.js",
    "js/pictures.js",
    "js/points/camera.js",
    "js/points/editor.js",
    "js/points/hand.js",
    "js/points/marks.js",
    "js/points/picture.js",
    "js/then-and-now.js",
}
# What others wrote (named among the libraries), and what the worker is put together from.
NOT_OF_A_PAGE = ("vendor", "worker")


@pytest.fixture
def finder(settings: Any, tmp_path: Path) -> BundleFinder:
    settings.STATE_DIR = tmp_path
    return BundleFinder()


def test_every_style_and_script_is_in_a_bundle_or_named_as_apart() -> None:
    ours = {
        str(file.relative_to(STATIC))
        for folder in ("css", "js")
        for file in (STATIC / folder).rglob("*.*")
        if file.parent.name not in NOT_OF_A_PAGE
    }
    assert {*STYLES, *PRINT_STYLES, *SCRIPTS, *VISIT_SCRIPTS} == ours - APART


def test_the_parts_stand_in_it_in_their_order(finder: BundleFinder) -> None:
    styles = Path(finder.find(STYLE_FILE)).read_text()
    names = (*STYLES, *PRINT_STYLES)
    places = [styles.index(bare((STATIC / name).read_text())) for name in names]
    assert places == sorted(places)
    scripts = Path(finder.find(SCRIPT_FILE)).read_text()
    assert all(bare((STATIC / name).read_text()) in scripts for name in SCRIPTS)
    for name in LIBRARIES:
        library = finders.find(name)
        assert isinstance(library, str)
        assert Path(library).read_text() in scripts


def test_comments_that_have_their_lines_to_themselves_are_left_out_and_nothing_else() -> None:
    text = (
        "/* why\n * so */\n// and\n  a(); /* stays */\n/* in */ b();\nc('/*');\n/* out */\nd();\n"
    )
    assert bare(text) == "a(); /* stays */\n/* in */ b();\nc('/*');\nd();\n"


def test_no_text_over_several_lines_would_lose_its_blanks() -> None:
    for name in SCRIPTS:
        for found in re.findall(r"`[^`]*`", (STATIC / name).read_text()):
            assert "\n" not in found, name


def test_what_is_for_print_stays_for_print() -> None:
    joined = styles_joined(["a {}"], ["b {}"])
    assert re.sub(r"\s+", " ", joined) == "a {} @media print { b {} } "


def test_what_a_style_names_is_where_it_says_from_the_bundles_folder_too() -> None:
    for name in (*STYLES, *PRINT_STYLES):
        text = (STATIC / name).read_text()
        assert "@import" not in text, name
        for address in re.findall(r"url\([\"']?([^\"')]+)", text):
            assert (STATIC / STYLE_FILE).parent.joinpath(address).resolve().is_file(), address


def test_it_is_made_anew_when_a_source_has_changed_and_only_then(
    finder: BundleFinder, settings: Any, tmp_path: Path
) -> None:
    own = tmp_path / "own"
    shutil.copytree(STATIC, own)
    settings.STATICFILES_DIRS = [own]
    finder = BundleFinder()
    made = Path(finder.find(STYLE_FILE))
    os.utime(made, (1, 1))
    assert finder.find(STYLE_FILE) == str(made)
    assert made.stat().st_mtime == 1
    (own / "css/base.css").write_text("body { color: red; }")
    assert "color: red" in Path(finder.find(STYLE_FILE)).read_text()


@pytest.mark.skipif(shutil.which("node") is None, reason="there is no node here")
def test_a_script_that_breaks_stops_no_other() -> None:
    joined = scripts_joined(
        ["var library = 1;"],
        ["throw new Error('mine');", "console.log('ran', library, typeof own);", "const own = 1;"],
    )
    done = subprocess.run(
        ["node", "-e", joined], capture_output=True, text=True, timeout=30, check=False
    )
    assert done.stdout == "ran 1 undefined\n"
    assert "mine" in done.stderr


def test_in_production_both_are_collected_with_their_hash_and_packed(tmp_path: Path) -> None:
    done = manage("collectstatic", "--no-input", state=tmp_path, **WHOLE)
    assert done.returncode == 0, done.stderr
    root = tmp_path / "static"
    names = json.loads((root / "staticfiles.json").read_text())["paths"]
    for path in (STYLE_FILE, SCRIPT_FILE):
        assert (root / names[path]).is_file()
        assert (root / f"{names[path]}.gz").is_file()
