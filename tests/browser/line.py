"""The line between phone and site, in good days and bad: cut, hanging, or another network's page."""

import socket
import threading
import time
from contextlib import suppress
from typing import Literal

Mode = Literal["through", "cut", "hangs", "half", "portal", "portal_leads_away", "killed"]
PORTAL_WORDS = "Welcome to the free network of the feed shop"
PORTAL = f"<!doctype html><title>Free network</title><main><h1>{PORTAL_WORDS}</h1></main>"


def _answer(status: str, more: str = "", body: str = PORTAL) -> bytes:
    head = f"HTTP/1.1 {status}\r\nContent-Type: text/html\r\nContent-Length: {len(body)}\r\n"
    return f"{head}Connection: close\r\n{more}\r\n{body}".encode()


ANSWERS = {
    "portal": _answer("200 OK"),
    "portal_leads_away": _answer("302 Found", "Location: http://portal.invalid/\r\n"),
    "killed": _answer("502 Bad Gateway", body="<h1>Bad gateway</h1>"),
}


class Line:
    """What a phone's requests meet, all of them; the browser's own offline switch does not hold back
    its service workers."""

    def __init__(self, host: str, port: int) -> None:
        self.far = (host, port)
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.address = f"http://127.0.0.1:{self.listener.getsockname()[1]}"
        self.mode: Mode = "through"
        self.late_s = 0.0  # each answer comes so much later
        self.asked: list[str] = []  # the first line of each request that came, in any mode
        self.open: list[socket.socket] = []
        threading.Thread(target=self._take, daemon=True).start()

    def be(self, mode: Mode) -> None:
        """From now on, for what is open already too."""
        self.mode = mode
        self._drop()

    def cut(self) -> None:
        self.be("cut")

    def end(self) -> None:
        with suppress(OSError):
            self.listener.shutdown(socket.SHUT_RDWR)
        self.listener.close()
        self._drop()

    def _drop(self) -> None:
        held, self.open = self.open, []
        for one in held:
            with suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)
            one.close()

    def _take(self) -> None:
        with suppress(OSError):
            while True:
                near, _ = self.listener.accept()
                self.open.append(near)
                threading.Thread(target=self._serve, args=(near,), daemon=True).start()

    def _serve(self, near: socket.socket) -> None:
        mode = self.mode
        with suppress(OSError):
            if mode == "cut":
                near.close()
            elif mode in ANSWERS:
                near.recv(65536)
                near.sendall(ANSWERS[mode])
                near.close()
            elif mode != "hangs":
                self._through(near, mode)

    def _through(self, near: socket.socket, mode: Mode) -> None:
        far = socket.create_connection(self.far)
        self.open.append(far)
        back = threading.Thread(target=self._carry, args=(far, near, mode == "half"), daemon=True)
        back.start()
        self._carry(near, far, False)

    def _carry(self, one: socket.socket, other: socket.socket, half: bool) -> None:
        with suppress(OSError):
            while content := one.recv(65536):
                if content.startswith((b"GET ", b"POST ")):
                    self.asked.append(content.split(b"\r\n", 1)[0].decode())
                elif self.late_s:
                    time.sleep(self.late_s)
                if half:
                    other.sendall(content[: len(content) // 2])
                    break
                other.sendall(content)
        with suppress(OSError):
            other.shutdown(socket.SHUT_WR)
        if half:
            other.close()
