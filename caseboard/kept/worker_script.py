"""The service worker's script: its parts in one file, so that the browser compares it as one.

Decided 2026-11-29: put together when it is asked for, as the bundles are (`caseboard/bundles.py`). The
roads not taken: `importScripts`, whose parts would need addresses that change with each version;
modules, which not every browser in a barn takes in a worker.
"""

from pathlib import Path

from django.contrib.staticfiles import finders

PARTS = ("shelf", "line", "needs", "told", "urgent", "pages", "changed", "closed", "ahead", "main")


def worker_script() -> str:
    """Raises FileNotFoundError where a part is missing."""
    return '"use strict";\n' + "\n".join(_part(f"js/worker/{name}.js") for name in PARTS)


def _part(name: str) -> str:
    found = finders.find(name)
    if not isinstance(found, str):
        raise FileNotFoundError(f"{name} belongs to the worker and is not there")
    return Path(found).read_text(encoding="utf-8")
