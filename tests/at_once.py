"""Several deeds at the same moment, each on its own connection to a real database."""

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from django.db import connection

from caseboard.lib.errors import Conflict

Deed = Callable[[], Any]


def at_once(*deeds: Deed, timeout_s: float = 60) -> list[Any]:
    """Does all of them at the same moment, each on its own connection.

    Gives each one's result; a Conflict is a result, anything else raised is raised here.
    """
    gate = threading.Barrier(len(deeds))

    def run(deed: Deed) -> Any:
        try:
            gate.wait(timeout=20)
            return deed()
        except Conflict as conflict:
            return conflict
        finally:
            connection.close()

    with ThreadPoolExecutor(len(deeds)) as pool:
        return [future.result(timeout=timeout_s) for future in [pool.submit(run, d) for d in deeds]]
