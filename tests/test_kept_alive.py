"""What is looked for once a process is what would be found each time."""

import gc
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles import finders
from whitenoise.middleware import WhiteNoiseMiddleware

STYLE = "/static/css/base.css"


def _served() -> dict[str, Any]:
    return WhiteNoiseMiddleware(lambda request: None).files


def test_the_second_browser_has_the_files_of_the_first_without_a_look(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    first = _served()
    monkeypatch.setattr(finders, "get_finders", lambda: pytest.fail("looked again"))
    second = _served()
    assert STYLE in second
    assert second == first
    assert second is not first  # what is added to one is not in the other


def test_other_settings_are_looked_for_anew(settings: Any, tmp_path: Path) -> None:
    assert "/static/mine.txt" not in _served()
    (tmp_path / "mine.txt").write_text("mine")
    settings.STATICFILES_DIRS = [tmp_path]
    assert "/static/mine.txt" in _served()


def test_rubbish_is_still_collected_while_tests_run() -> None:
    assert gc.isenabled()
    assert gc.get_freeze_count() > 50_000
