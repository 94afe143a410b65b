"""The style sheets and the scripts of every page, each put together into one file; a third holds the
scripts of the visit's form.

A finder of static files: the files are made from their sources when they are asked for and the
sources have changed, so that developing, the demo and production serve the same, with no build step.

Decided 2026-11-29: one file of each, because a first look at a board took 17 requests on a barn's line.
What few pages need (the sheet's styles, a form's script) stays by itself. htmx comes after the page, and
only where a part asks again by itself (`js/parts.js`), as it is: its tag adds, while developing, a helper
that stops error answers from being shown in place and needs eval. The road not taken: putting the files
together while collecting only, which would have served other files while developing.
"""

import os
import re
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles.finders import AppDirectoriesFinder, BaseFinder, FileSystemFinder
from django.core.files.storage import FileSystemStorage

# In the order in which they are read: what later ones say of the same thing counts.
STYLES = (
    "css/tokens.css",
    "css/base.css",
    "css/layout.css",
    "css/parts.css",
    "css/charts.css",
    "css/glance.css",
    "css/pages.css",
)
PRINT_STYLES = ("css/print.css",)
LIBRARIES = ("js/vendor/idb-8.0.4.umd.js",)
SCRIPTS = (
    "js/board.js",
    "js/parts.js",
    "js/poll.js",
    "js/drafts/store.js",
    "js/drafts/clock.js",
    "js/drafts/form.js",
    "js/drafts/send.js",
    "js/drafts/queue.js",
    "js/keep.js",
    "js/drafts/page.js",
    "js/leave.js",
    "js/urgent.js",
    "js/shelf.js",
)
VISIT_SCRIPTS = (
    "js/visit/values.js",
    "js/visit/shoes.js",
    "js/visit/next.js",
    "js/visit/asked.js",
    "js/visit/outcomes.js",
    "js/spoken/words.js",
    "js/spoken/numbers.js",
    "js/spoken/lex.js",
    "js/spoken/days.js",
    "js/spoken/feet.js",
    "js/spoken/doubt.js",
    "js/spoken/counted.js",
    "js/spoken/next.js",
    "js/spoken/match.js",
    "js/spoken/names.js",
    "js/spoken/moments.js",
    "js/spoken/which.js",
    "js/spoken/values.js",
    "js/spoken/work.js",
    "js/spoken/sure.js",
    "js/spoken/read.js",
    "js/spoken/chips.js",
)
STYLE_FILE, SCRIPT_FILE, VISIT_FILE = "css/all.css", "js/all.js", "js/visit.js"
FILES = (STYLE_FILE, SCRIPT_FILE, VISIT_FILE)
# A script that breaks keeps none of the others from running; the browser tells of it as ever.
BROKEN = "catch (error) { setTimeout(() => { throw error; }); }"

# A comment that has its lines to itself, and what a line is set in by: for people who read the source.
_COMMENT = re.compile(r"^[ \t]*(?:/\*(?:(?!\*/).)*\*/[ \t]*|//[^\n]*)\n", re.DOTALL | re.MULTILINE)
_MARGIN = re.compile(r"^[ \t]+", re.MULTILINE)


def bare(text: str) -> str:
    """A source without what a phone has no use for: a sixth of what it loads on a barn's line. No
    text of ours that goes over several lines may begin one with a blank or a comment's mark."""
    return _MARGIN.sub("", _COMMENT.sub("", text))


def styles_joined(styles: Iterable[str], for_print: Iterable[str]) -> str:
    printed = [f"@media print {{\n{text}\n}}\n" for text in for_print]
    return "".join([*(f"{text}\n" for text in styles), *printed])


def scripts_joined(libraries: Iterable[str], scripts: Iterable[str]) -> str:
    """Ours keep their names to themselves and stay strict; what a library names is there for all."""
    parts = [f"try {{\n{text}\n}} {BROKEN}\n" for text in libraries]
    parts += [f'try {{ (() => {{ "use strict";\n{text}\n}})(); }} {BROKEN}\n' for text in scripts]
    return "".join(parts)


class BundleFinder(BaseFinder):
    """Finds these files, brought up to date."""

    def __init__(self, app_names: Any = None, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._sources = (FileSystemFinder(), AppDirectoriesFinder())
        self.storage = FileSystemStorage(location=Path(settings.STATE_DIR) / "bundles")

    def check(self, **kwargs: Any) -> Any:
        return []

    def find(self, path: str, find_all: bool = False, **kwargs: Any) -> Any:
        if path not in FILES:
            return []
        made = str(self._made(path))
        return [made] if find_all else made

    def list(self, ignore_patterns: Iterable[str] | None) -> Iterator[tuple[str, Any]]:
        for path in FILES:
            self._made(path)
            yield path, self.storage

    def _made(self, path: str) -> Path:
        """The file, made anew when its text is another: its time says when that was."""
        text = self._text(path)
        file = Path(self.storage.path(path))
        if not (file.is_file() and file.read_text(encoding="utf-8") == text):
            _replaced(file, text)
        return file

    def _text(self, path: str) -> str:
        if path == STYLE_FILE:
            return styles_joined(map(bare, self._read(STYLES)), map(bare, self._read(PRINT_STYLES)))
        if path == VISIT_FILE:
            return scripts_joined((), map(bare, self._read(VISIT_SCRIPTS)))
        return scripts_joined(self._read(LIBRARIES), map(bare, self._read(SCRIPTS)))

    def _read(self, names: Sequence[str]) -> Iterator[str]:
        for name in names:
            found = next((found for finder in self._sources if (found := finder.find(name))), None)
            if found is None:
                raise FileNotFoundError(f"{name} is to go into a bundle and is not there")
            yield Path(found).read_text(encoding="utf-8")


def _replaced(file: Path, text: str) -> None:
    """Two processes may do it at once: each moves a whole file to its place."""
    file.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(
        "w", dir=file.parent, prefix=".", suffix=".half", delete=False, encoding="utf-8"
    ) as half:
        half.write(text)
    os.replace(half.name, file)
