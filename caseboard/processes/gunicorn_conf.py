"""How gunicorn serves the board: `gunicorn --config python:caseboard.processes.gunicorn_conf caseboard.wsgi`.

No access log: the addresses of invitations hold their tokens.
"""

from typing import Any

bind = "127.0.0.1:8000"
workers = 2
threads = 4
max_requests = 2000
max_requests_jitter = 200
control_socket_disable = True
worker_tmp_dir = "/dev/shm"  # a heartbeat file that no slow disk holds up


def post_worker_init(_worker: Any) -> None:
    from caseboard.sheets.warm import sheets_warm_soon

    sheets_warm_soon()
