"""The system's Chromium: where it is, and how it is started for the tests."""

import os
import shutil

NAMES = ("chromium", "chromium-browser", "google-chrome")
ARGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def chromium_path() -> str | None:
    """The program to start: the one named by CHROMIUM, else the first that the machine has."""
    named = os.environ.get("CHROMIUM")
    if named:
        return shutil.which(named)
    return next((path for path in map(shutil.which, NAMES) if path), None)
