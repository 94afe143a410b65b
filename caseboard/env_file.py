"""The file of settings beside manage.py. Every door calls this before the settings are read."""

import os
from pathlib import Path

ENV_FILE = Path(__file__).resolve().parent.parent / ".env"


def env_file_found() -> None:
    """Names the file for the settings, unless another one (or, by the empty text, none) is named."""
    if ENV_FILE.is_file():
        os.environ.setdefault("CASEBOARD_ENV_FILE", str(ENV_FILE))
