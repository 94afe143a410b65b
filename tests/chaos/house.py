"""A whole installation as processes: web, workers, PostgreSQL, Redis and a mail server of its own.

Or the embedded one: one `serve` on SQLite, with a Redis for its cache where asked. For tests and benches that click through http.
"""

import http.client
import json
import os
import secrets
import urllib.parse
from pathlib import Path
from typing import Any

import psycopg

from tests.caseboard.commands import environment
from tests.chaos.processes import Part, free_port, python, run, wait_until
from tests.chaos.sink import Sink

WORKER = ("-m", "celery", "--app=caseboard", "worker", "--without-gossip", "--without-mingle")


class House:
    """`with House(folder, server_url)`: empty and migrated; parts are started one by one."""

    def __init__(
        self, folder: Path, server_url: str, sink: Sink | None = None, *, redis: bool = False
    ) -> None:
        self.folder, self._server_url = folder, server_url
        self.sink = sink or Sink()
        self._redis = redis or bool(server_url)
        self.parts: list[Part] = []
        self._database = f"caseboard_house_{os.getpid()}_{secrets.token_hex(3)}"
        self.env = environment(
            folder, EMAIL_URL=self.sink.url, CASEBOARD_DEBUG="0", ALLOWED_HOSTS="127.0.0.1"
        )

    def __enter__(self) -> "House":
        try:
            if self._server_url:
                self._sql(f"CREATE DATABASE {self._database}")
                self.env["DATABASE_URL"] = f"{self._server_url}/{self._database}"
            if self._redis:
                port = free_port()
                self.env["REDIS_URL"] = f"redis://127.0.0.1:{port}/1"
                if self._server_url:  # the embedded one does its work by itself
                    self.env["CELERY_BROKER_URL"] = f"redis://127.0.0.1:{port}/0"
                words = ["redis-server", "--port", str(port), "--save", "", "--dir"]
                self._start("redis", [*words, str(self.folder)])
            run(python("manage.py", "migrate", "-v", "0"), self.env)
            run(python("manage.py", "createcachetable"), self.env)
        except BaseException:
            self.__exit__()
            raise
        return self

    def __exit__(self, *_: object) -> None:
        for part in reversed(self.parts):
            part.stop()
        self.sink.stop()
        if self._server_url:
            self._sql(f"DROP DATABASE IF EXISTS {self._database} WITH (FORCE)")

    def _sql(self, statement: str) -> None:
        with psycopg.connect(f"{self._server_url}/postgres", autocommit=True) as server:
            server.execute(statement)  # its names are of our own making

    def _start(self, name: str, words: list[str]) -> Part:
        part = Part(words, self.env, self.folder / f"{name}.log")
        self.parts.append(part)
        return part

    def web(self) -> int:
        """One more web process; the port it answers at."""
        port = free_port()
        words = python(
            "-m",
            "gunicorn",
            "caseboard.wsgi",
            f"--bind=127.0.0.1:{port}",
            "--workers=1",
            "--threads=4",
            "--no-control-socket",
        )
        self._start(f"web-{port}", words)
        return self._answering(port)

    def serve(self) -> int:
        """The one-process installation."""
        port = free_port()
        self._start("serve", python("manage.py", "serve", "--port", str(port)))
        return self._answering(port)

    def worker(self, name: str, queues: str, *, processes: int = 1, clock: bool = False) -> Part:
        words = python(
            *WORKER, f"--hostname={name}@%h", f"--queues={queues}", f"--concurrency={processes}"
        )
        words += ["--beat"] if clock else []
        return self._start(name, words)

    def _answering(self, port: int) -> int:
        if not wait_until(lambda: self.answers(port), 60):
            raise RuntimeError(f"nothing answers at {port}, see {self.folder}")
        return port

    def answers(self, port: int) -> bool:
        try:
            return Browser(port, "").get("/livez")[0] == 200
        except OSError:
            return False

    def tell(self, module: str, *words: str) -> Any:
        """Runs a module of the tests in the installation; what it prints last, as JSON."""
        return json.loads(run(python("-m", module, *words), self.env).splitlines()[-1])


class Browser:
    """As much of a browser as clicks need: a session, the form's own token, no redirects."""

    def __init__(self, port: int, session: str) -> None:
        self.port, self.session = port, session

    def get(self, path: str) -> tuple[int, str]:
        status, body, _ = self._ask("GET", path, {})
        return status, body

    def post(self, path: str, fields: dict[str, Any]) -> int:
        """Opens the form for its token first, as a person would."""
        _, page, cookie = self._ask("GET", path, {})
        token = page.split('name="csrfmiddlewaretoken" value="')[1].split('"')[0]
        return self._send(path, fields, token, cookie)

    def form(self, path: str) -> tuple[str, str]:
        """The token of a form and its cookie, for posts that are timed or sent twice."""
        _, page, cookie = self._ask("GET", path, {})
        return page.split('name="csrfmiddlewaretoken" value="')[1].split('"')[0], cookie

    def send(self, path: str, fields: dict[str, Any], form: tuple[str, str]) -> int:
        return self._send(path, fields, *form)

    def _send(self, path: str, fields: dict[str, Any], token: str, cookie: str) -> int:
        body = urllib.parse.urlencode({**fields, "csrfmiddlewaretoken": token}, doseq=True)
        headers = {
            "Content-Type": "application/x-www-form-urlencoded",
            "Cookie": cookie,
            "Origin": f"http://127.0.0.1:{self.port}",
        }
        return self._ask("POST", path, headers, body)[0]

    def _ask(
        self, method: str, path: str, headers: dict[str, str], body: str = ""
    ) -> tuple[int, str, str]:
        mine = f"sessionid={self.session}"
        with_mine = {**headers, "Cookie": f"{mine}; {headers.get('Cookie', '')}"}
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            line.request(method, path, body or None, with_mine)
            answer = line.getresponse()
            text = answer.read().decode(errors="replace")
            given = [c.split(";")[0] for c in answer.headers.get_all("Set-Cookie") or []]
            return answer.status, text, next((c for c in given if c.startswith("csrf")), "")
        finally:
            line.close()
