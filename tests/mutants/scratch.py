"""A copy of the tree in which slips are made; the working tree is never touched."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

from tests.mutants.row import HOME, Mutant

LEFT_OUT = (".git", ".venv", "var", ".mypy_cache", ".ruff_cache", ".pytest_cache", ".hypothesis")
_moments = count(1)


def copy_tree(to: Path) -> None:
    """With what is compiled already: it fits, because the times of the files are copied too."""
    shutil.copytree(HOME, to, ignore=shutil.ignore_patterns(*LEFT_OUT), symlinks=True)


@contextmanager
def slip_made(tree: Path, mutant: Mutant) -> Iterator[None]:
    """The file as the row changes it, and afterwards as it was, to its time.

    Compiled files are matched by the second and the size, so each slip has a second of its own.
    """
    path = tree / mutant.file
    text, was = path.read_text(), path.stat()
    path.write_text(mutant.applied(text))
    os.utime(path, (next(_moments), next(_moments)))
    try:
        yield
    finally:
        path.write_text(text)
        os.utime(path, ns=(was.st_atime_ns, was.st_mtime_ns))
