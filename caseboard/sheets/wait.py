"""Waits a moment for a paper to be drawn, then says that it takes longer and goes on drawing.

A browser that asks again is given what was drawn meanwhile. What waits here is kept in this process,
for a minute and for at most a few people: whoever asks another process starts anew there.
"""

import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as NotYet

from caseboard.sheets.render import Page

WAIT_S = 8.0  # house default: longer than any sheet on a machine that is not overloaded
KEPT_S = 60.0  # house default: a person comes back within seconds, or not at all
MOST_KEPT = 16  # house default: one-page PDFs of 60 kB

Key = tuple[str, ...]
_pool = ThreadPoolExecutor(
    max_workers=1, thread_name_prefix="paper"
)  # the child draws one at a time
_lock = threading.Lock()
_under_way: OrderedDict[Key, tuple[float, Future[Page]]] = OrderedDict()


def is_under_way(key: Key) -> bool:
    """Whether asking again would start nothing new."""
    with _lock:
        return key in _under_way


def page_or_none(key: Key, draw: Callable[[], Page], *, wait_s: float = WAIT_S) -> Page | None:
    """The page, or None when it is still being drawn. Raises what drawing raised."""
    future = _started(key, draw)
    try:
        page = future.result(timeout=wait_s)
    except NotYet:
        return None
    except BaseException:
        _forget(key)
        raise
    _forget(key)
    return page


def _started(key: Key, draw: Callable[[], Page]) -> "Future[Page]":
    now_s = time.monotonic()
    with _lock:
        for old in [k for k, (began_s, _) in _under_way.items() if now_s - began_s > KEPT_S]:
            del _under_way[old]
        if key in _under_way:
            return _under_way[key][1]
        while len(_under_way) >= MOST_KEPT:
            _under_way.popitem(last=False)
        future = _pool.submit(draw)
        _under_way[key] = (now_s, future)
        return future


def _forget(key: Key) -> None:
    with _lock:
        _under_way.pop(key, None)
