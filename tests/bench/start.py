"""What starting costs: a command that does nothing, and the demo from nothing.

Processor time of whole processes beside a bare Django project's of the same run, each with its
modules compiled beforehand, as an installation at work has them.
"""

import resource
import subprocess
import sys
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.caseboard.commands import ROOT, environment


def version_times(quick: bool) -> float:
    """`manage.py version` here beside that of a bare project, the best of several turns."""
    return _starts(quick)[1] / _starts(quick)[0]


def demo_starts(quick: bool) -> float:
    """How many starts of a bare project the demo's preparation costs."""
    bare = _starts(quick)[0]
    with TemporaryDirectory() as folder:
        return _cpu_s(ROOT, folder, "demo", "--no-serve") / bare


@cache
def _starts(quick: bool) -> tuple[float, float]:
    turns = range(4 if quick else 12)
    with TemporaryDirectory() as folder:
        bare = Path(folder) / "bare"
        bare.mkdir()
        subprocess.run(
            [sys.executable, "-m", "django", "startproject", "bare", str(bare)],
            check=True,
            env=environment(Path(folder)),
        )
        places = (bare, ROOT)
        for place in places:
            _cpu_s(place, folder, "version")
        pairs = [[_cpu_s(place, folder, "version") for place in places] for _ in turns]
    return min(pair[0] for pair in pairs), min(pair[1] for pair in pairs)


def _cpu_s(place: Path, state: str, *words: str) -> float:
    """The processor time of one command, its children's included."""
    compiled = {"PYTHONDONTWRITEBYTECODE": "", "PYTHONPYCACHEPREFIX": str(COMPILED)}
    began = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=place,
        env=environment(Path(state), **compiled),
        check=True,
        stdout=subprocess.DEVNULL,
    )
    ended = resource.getrusage(resource.RUSAGE_CHILDREN)
    return ended.ru_utime + ended.ru_stime - began.ru_utime - began.ru_stime


# Kept while this process lives; the tree itself stays as it is.
_folder = TemporaryDirectory()
COMPILED = Path(_folder.name)
