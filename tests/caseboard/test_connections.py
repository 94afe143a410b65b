"""The one-process installation answers although many browsers keep their connections open."""

import socket
import urllib.request
from contextlib import ExitStack
from pathlib import Path

from tests.bench.load_servers import environment, prepared, site


def test_a_page_comes_while_150_connections_are_kept_open(tmp_path: Path) -> None:
    env = environment(tmp_path)
    prepared(env, horses=1, readings=0)
    with site(env) as served, ExitStack() as held:
        for _ in range(150):  # more than the 100 that the server's library allows by itself
            held.enter_context(socket.create_connection(("127.0.0.1", served.port), timeout=5))
        with urllib.request.urlopen(f"http://127.0.0.1:{served.port}/livez", timeout=20) as answer:
            assert answer.status == 200
