"""A command imports what it needs and no more; what is registered late is registered whole."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from caseboard import job_kinds as site_jobs
from horses import job_kinds as horses_jobs
from horses.rules import register as horses_rules
from measurements.rules import register as measurements_rules
from tests.caseboard.commands import ROOT, environment

# What takes long to import. `manage.py version` stands for any command that computes, draws and sends
# nothing.
HEAVY = {
    "PIL",
    "celery",
    "cffi",
    "dateutil",
    "fido2",
    "icalendar",
    "kombu",
    "numpy",
    "openpyxl",
    "pi_heif",
    "redis",
    "scipy",
    "segno",
    "tablib",
    "weasyprint",
    "yaml",
}
SAYS = (
    "import atexit, runpy, sys\n"
    "atexit.register(lambda: print('loaded', *sorted({n.split('.')[0] for n in sys.modules})))\n"
    "sys.argv = ['manage.py', 'version']\n"
    "runpy.run_path('manage.py', run_name='__main__')\n"
)
JOBS = ((site_jobs, "caseboard"), (horses_jobs, "horses"))
RULES = ((horses_rules, "horses"), (measurements_rules, "measurements"))
REGISTERS = {
    "job_handler": JOBS,
    "rule": RULES,
    "foresees": RULES,
    "follows": RULES,
    "transition": RULES,
    "prepares": RULES,
}


def test_a_command_that_computes_nothing_imports_nothing_heavy(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", SAYS],
        cwd=ROOT,
        env=environment(tmp_path),
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
    loaded = set(done.stdout.split("loaded", 1)[1].split())
    assert {"django", "horses", "measurements"} <= loaded  # it did start
    assert loaded & HEAVY == set()


def _decorated(app: str, decorator: str) -> Iterator[str]:
    """The modules of the app in which something is registered so."""
    for path in sorted((ROOT / app).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text())):
            marks = node.decorator_list if isinstance(node, ast.FunctionDef) else []
            if decorator in {ast.unparse(mark).split("(")[0] for mark in marks}:
                yield ".".join(path.relative_to(ROOT).with_suffix("").parts)


@pytest.mark.parametrize("decorator", REGISTERS)
def test_every_module_that_registers_something_is_imported_with_its_app(decorator: str) -> None:
    found = 0
    for register, app in REGISTERS[decorator]:
        imported = {getattr(module, "__name__", "") for module in vars(register).values()}
        for name in _decorated(app, decorator):
            found += 1
            assert name in imported, f"{register.__name__} does not import {name}"
    assert found
