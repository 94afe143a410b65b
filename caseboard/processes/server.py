"""The one-process installation: the web server, and beside it the worker when there is no broker."""

import signal
from collections.abc import Callable
from types import FrameType

from django.conf import settings
from waitress.server import BaseWSGIServer, create_server

from caseboard.http.door import DoorChannel
from caseboard.lib.pdf.parent import pdf_child_stop
from caseboard.processes.worker import workers
from caseboard.sheets.warm import sheets_warm_soon
from caseboard.wsgi import application

MAX_BODY_BYTES = 64 * 1024 * 1024  # house default: a flag with its photos, straight from a phone
# A browser keeps several open between pages. The server's own 100 were used up by 20 people, and
# whoever came next waited for a minute. House default.
MAX_CONNECTIONS = 2000


def serve(*, host: str, port: int, threads: int, ready: Callable[[str], None]) -> None:
    """Serves until Ctrl-C or a termination signal, then ends cleanly. Port 0 takes a free one."""
    BaseWSGIServer.channel_class = DoorChannel
    server = create_server(
        application,
        host=host,
        port=port,
        threads=threads,
        ident="",
        max_request_body_size=MAX_BODY_BYTES,
        connection_limit=MAX_CONNECTIONS,
        asyncore_use_poll=True,  # the other way ends at 1,024 open files
        # Only a proxy of ours may say how the browser came; without one waitress drops its words.
        clear_untrusted_proxy_headers=not settings.TRUSTED_PROXIES,
    )
    beside = [] if settings.CELERY_BROKER_URL else workers()
    signal.signal(signal.SIGTERM, _end)
    for worker in beside:
        worker.start()
    sheets_warm_soon()
    ready(address_of(host, server.effective_port))
    try:
        server.run()  # returns at Ctrl-C, after the requests under way
    finally:
        server.close()
        for worker in beside:
            worker.stop()
        pdf_child_stop()


def address_of(host: str, port: int) -> str:
    shown = "127.0.0.1" if host in ("0.0.0.0", "::", "") else host
    return f"http://{f'[{shown}]' if ':' in shown else shown}:{port}"


def _end(_signal: int, _frame: FrameType | None) -> None:
    raise SystemExit(0)
