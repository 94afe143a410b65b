"""A bucket behind http, as much of its protocol as photos need: for processes that are killed."""

import hashlib
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import unquote, urlsplit

NAME = "hooves"
DAY = "Mon, 02 Nov 2026 09:00:00 GMT"


@dataclass
class Bucket:
    url: str
    kept: dict[str, bytes] = field(default_factory=dict)

    @property
    def env(self) -> dict[str, str]:
        """The settings of an installation that keeps its photos here."""
        return {
            "MEDIA_S3_BUCKET": NAME,
            "MEDIA_S3_ENDPOINT": self.url,
            "MEDIA_S3_REGION": "us-east-1",
            "AWS_ACCESS_KEY_ID": "testing",
            "AWS_SECRET_ACCESS_KEY": "testing",
            # Bodies as they are, not in signed pieces.
            "AWS_REQUEST_CHECKSUM_CALCULATION": "when_required",
            "AWS_RESPONSE_CHECKSUM_VALIDATION": "when_required",
        }


@contextmanager
def small_bucket() -> Iterator[Bucket]:
    server = ThreadingHTTPServer(("127.0.0.1", 0), _Door)
    bucket = Bucket(f"http://127.0.0.1:{server.server_port}")
    _Door.kept = bucket.kept
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield bucket
    finally:
        server.shutdown()
        server.server_close()


class _Door(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    kept: dict[str, bytes]

    def _name(self) -> str:
        return unquote(urlsplit(self.path).path).removeprefix(f"/{NAME}/")

    def _answer(self, status: int, body: bytes = b"", *, etag: str = "") -> None:
        self.send_response(status)
        self.send_header("Content-Length", str(len(body)))
        if etag:
            self.send_header("ETag", f'"{etag}"')
            self.send_header("Last-Modified", DAY)
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(body)

    def do_PUT(self) -> None:
        body = self.rfile.read(int(self.headers["Content-Length"]))
        self.kept[self._name()] = body  # whole or not at all, as in a bucket
        self._answer(200, etag=hashlib.md5(body, usedforsecurity=False).hexdigest())

    def do_GET(self) -> None:
        body = self.kept.get(self._name())
        if body is None:
            self._answer(404)
            return
        self._answer(200, body, etag=hashlib.md5(body, usedforsecurity=False).hexdigest())

    do_HEAD = do_GET

    def do_DELETE(self) -> None:
        self.kept.pop(self._name(), None)
        self._answer(204)

    def log_message(self, format: str, *args: object) -> None: ...
