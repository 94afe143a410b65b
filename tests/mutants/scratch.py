"""A copy of the tree in which slips are made; the working tree is never touched."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

from tests.mutants.row import HOME, Mutant

LEFT_OUT = (".git", ".venv", "var", "__pycache__", ".*_cache", ".hypothesis")
_moments = count(1)


def copy_tree(to: Path) -> None:
    shutil.copytree(HOME, to, ignore=shutil.ignore_patterns(*LEFT_OUT), symlinks=True)


@contextmanager
def slip_made(tree: Path, mutant: Mutant) -> Iterator[None]:
    """The file as the row changes it, and afterwards as it was, to its time.

    What is compiled is matched by the second and the size of its source, so each slip has a second
    of its own: none is taken for the file as it was, or for another slip.
    """
    path = tree / mutant.file
    text, was = path.read_text(), path.stat()
    path.write_text(mutant.applied(text))
    moment = next(_moments)
    os.utime(path, (moment, moment))
    try:
        yield
    finally:
        path.write_text(text)
        os.utime(path, ns=(was.st_atime_ns, was.st_mtime_ns))
