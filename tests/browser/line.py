"""The line between phone and site, in good days and bad: cut, hanging, or another network's page."""

import socket
import struct
import threading
import time
from contextlib import suppress
from functools import partial
from typing import Literal

Mode = Literal[
    "through", "cut", "hangs", "half", "deaf", "mute", "portal", "portal_leads_away", "killed"
]  # The site does what was asked, and: deaf, the line breaks; mute, no answer comes, ever
PORTAL_WORDS = "Welcome to the free network of the feed shop"
PORTAL = f"<!doctype html><title>Free network</title><main><h1>{PORTAL_WORDS}</h1></main>"


def _answer(status: str, more: str = "", body: str = PORTAL, kind: str = "text/html") -> bytes:
    content = body.encode()
    head = f"HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {len(content)}\r\n"
    return f"{head}Connection: close\r\n{more}\r\n".encode() + content


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
        self.bytes_a_second = 0  # shared by all that goes through, both ways; 0: no bound
        self.turn = threading.Lock()
        self.asked: list[str] = []  # the first line of each request that came, in any mode
        self.instead: dict[str, str] = {}  # scripts given in the site's place, by their path
        self.unheard = 0  # answers that were given and never heard
        self.open: list[socket.socket] = []
        self.lost: list[socket.socket] = []  # neither heard of again nor closed
        threading.Thread(target=self._take, daemon=True).start()

    def be(self, mode: Mode) -> None:
        """From now on, for what is open already too."""
        self.mode = mode
        self._drop()

    def goes_on_without(self, mode: Mode) -> None:
        """For what is opened from now on. What is open already hears nothing more, not even an end."""
        self.lost += self.open
        self.mode, self.open = mode, []

    def cut(self) -> None:
        self.be("cut")

    def end(self) -> None:
        with suppress(OSError):
            self.listener.shutdown(socket.SHUT_RDWR)
        self.listener.close()
        self.open += self.lost
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
        try:
            far = socket.create_connection(self.far)
        except OSError:  # the site is dead
            near.close()
            return
        self.open.append(far)
        back = partial(self._carry, half=mode == "half")
        if mode in ("deaf", "mute"):
            back = partial(self._swallow, says=mode == "deaf")
        threading.Thread(target=back, args=(far, near), daemon=True).start()
        self._carry(near, far)

    def _swallow(self, far: socket.socket, near: socket.socket, says: bool) -> None:
        """The site has answered: the one who asked finds the connection reset, or waits on."""
        with suppress(OSError):
            if far.recv(65536):
                self.unheard += 1
            if not says:
                return
            near.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
            near.shutdown(socket.SHUT_RD)  # else it stays open as long as `_carry` reads from it
        near.close()
        far.close()

    def _carry(self, one: socket.socket, other: socket.socket, half: bool = False) -> None:
        with suppress(OSError):
            while content := one.recv(4096 if self.bytes_a_second else 65536):
                if self.bytes_a_second:
                    with self.turn:
                        time.sleep(len(content) / self.bytes_a_second)
                if content.startswith((b"GET ", b"POST ")):
                    self.asked.append(content.split(b"\r\n", 1)[0].decode())
                    if script := self.instead.get(content.split(b" ", 2)[1].decode()):
                        one.sendall(_answer("200 OK", body=script, kind="text/javascript"))
                        break
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
