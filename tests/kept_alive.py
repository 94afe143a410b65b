"""What a process of the tests need not do again for each of its thousands of tests.

The test client of Django loads the whole chain of middleware for each browser that a test opens, and
with it the list of static files: all are looked for and their headers made, 14 ms of a page's 60. The
files are the same as long as the settings are.

And the collector of rubbish looks again and again through what lives as long as the process: modules,
models and eight thousand tests. That is set aside; what is left is looked through less often. A fifth
of the time of page tests. Only memory is the price, of which a test process has enough.
"""

import gc
from typing import Any

from django.conf import settings
from whitenoise.middleware import WhiteNoiseMiddleware

SEEN_LESS_OFTEN = (50_000, 20, 20)  # house default; Python's own is (700, 10, 10)

_found: dict[tuple[str, ...], dict[str, Any]] = {}


def look_for_no_rubbish() -> None:
    """Called before the tests are collected: what is made then stays."""
    gc.disable()


def set_aside_what_stays() -> None:
    """Called once, after the tests have been collected."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(*SEEN_LESS_OFTEN)
    gc.enable()


def look_for_static_files_once() -> None:
    """Called once, before the first test."""
    middleware: Any = WhiteNoiseMiddleware
    look = middleware.add_files_from_finders

    def add_files_from_finders(self: Any) -> None:
        key = _asked_for(self)
        if key not in _found:
            collected, self.files = self.files, {}
            look(self)
            _found[key], self.files = self.files, collected
        self.files.update(_found[key])

    middleware.add_files_from_finders = add_files_from_finders


def _asked_for(middleware: Any) -> tuple[str, ...]:
    """All that the list depends on; files are not changed while tests run."""
    return tuple(
        map(
            repr,
            (
                settings.STATICFILES_DIRS,
                settings.STATICFILES_FINDERS,
                settings.STATIC_ROOT,
                settings.DEBUG,
                middleware.static_prefix,
                middleware.max_age,
                middleware.charset,
            ),
        )
    )
