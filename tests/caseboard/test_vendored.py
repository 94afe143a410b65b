"""Bundled fonts and scripts: where they come from and under which licence, unchanged since, and in use."""

import hashlib
import io
import json
import re
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from django.conf import settings

from caseboard.bundles import LIBRARIES
from caseboard.lib.pdf.parent import pango_missing
from caseboard.sheets.render import sheet_page
from tests.caseboard.sheet_plans import WORDS, busy

STATIC = Path(settings.BASE_DIR) / "caseboard/static"
FONTS = STATIC / "fonts"
VENDORED = json.loads((FONTS / "VENDOR.json").read_text())
SCRIPTS = STATIC / "js/vendor"
MOST_BYTES = 300_000  # house default
OURS = "Sheet"  # the family names that sheet-fonts.css gives them


@pytest.mark.parametrize("one", VENDORED, ids=[one["name"] for one in VENDORED])
def test_each_bundled_font_is_the_one_that_was_taken_and_has_its_licence(one: dict) -> None:
    for name, digest in one["sha256"].items():
        assert hashlib.sha256((FONTS / name).read_bytes()).hexdigest() == digest, name
    assert one["version"]
    assert one["package"]
    licence = (FONTS / one["licence_file"]).read_text()
    assert "SIL OPEN FONT LICENSE Version 1.1" in licence
    assert one["licence_file"] in one["sha256"]


def test_every_file_beside_the_list_is_on_it_and_they_are_small() -> None:
    listed = {name for one in VENDORED for name in one["sha256"]}
    there = {file.name for file in FONTS.iterdir()} - {"VENDOR.json"}
    assert there == listed
    assert sum(file.stat().st_size for file in FONTS.glob("*.woff2")) <= MOST_BYTES


def test_every_font_is_asked_for_and_every_font_asked_for_is_there() -> None:
    css = (STATIC / "css/sheet-fonts.css").read_text()
    assert set(re.findall(r"fonts/([\w-]+\.woff2)", css)) == {f.name for f in FONTS.glob("*.woff2")}
    families = set(re.findall(r'@font-face \{ font-family: "([^"]+)"', css))
    for file in ("sheet.css", "barn.css"):
        [stack] = re.findall(
            r"font-family: (\"Sheet\", \"Sheet Ext\"[^;]+);", (STATIC / "css" / file).read_text()
        )
        assert set(re.findall(r'"([^"]+)"', stack)) == families


@pytest.mark.skipif(bool(pango_missing()), reason="needs Pango")
def test_no_script_of_our_plans_falls_back_on_the_systems_fonts() -> None:
    """Latin with accents, Greek, Cyrillic, Hebrew and Arabic, plain and bold."""
    sheet = replace(busy(1), horse_name=" ".join(WORDS[-6:]), open_points=(" ".join(WORDS),))
    page = pypdf.PdfReader(io.BytesIO(sheet_page(sheet, paper="a4", time_limit_s=120).pdf)).pages[0]
    fonts = page["/Resources"]["/Font"].get_object()  # type: ignore[index]
    names = {str(font.get_object()["/BaseFont"]).split("+")[-1] for font in fonts.values()}
    assert {name for name in names if not name.startswith(OURS)} == set()


def test_each_script_of_others_is_the_one_that_was_taken_has_its_licence_and_is_used() -> None:
    listed = json.loads((SCRIPTS / "VENDOR.json").read_text())
    for one in listed:
        for name, digest in one["sha256"].items():
            assert hashlib.sha256((SCRIPTS / name).read_bytes()).hexdigest() == digest, name
        assert one["version"]
        assert one["package"]
        assert one["licence"] in (SCRIPTS / one["licence_file"]).read_text()
    names = {name for one in listed for name in one["sha256"]}
    assert {file.name for file in SCRIPTS.iterdir()} - {"VENDOR.json"} == names
    scripts = {f"js/vendor/{name}" for name in names if name.endswith(".js")}
    assert scripts <= set(LIBRARIES)
