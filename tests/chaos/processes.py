"""The parts of an installation as processes that can be killed, and only those."""

import os
import random
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent


def free_port() -> int:
    with socket.socket() as asked:
        asked.bind(("127.0.0.1", 0))
        return int(asked.getsockname()[1])


class Part:
    """One process (with its children) that is started again after each kill."""

    def __init__(self, words: Sequence[str], env: dict[str, str], log: Path) -> None:
        self._words, self._env, self._log = list(words), env, log
        self._process: subprocess.Popen[bytes] | None = None
        self.start()

    def start(self) -> None:
        with self._log.open("ab") as out:
            self._process = subprocess.Popen(
                self._words,
                cwd=ROOT,
                env=self._env,
                stdout=out,
                stderr=out,
                start_new_session=True,
            )

    @property
    def pid(self) -> int:
        assert self._process is not None
        return self._process.pid

    @property
    def alive(self) -> bool:
        return self._process is not None and self._process.poll() is None

    def kill(self) -> None:
        """The whole of it at once, as when the machine goes dark."""
        assert self._process is not None
        os.killpg(self.pid, signal.SIGKILL)
        self._process.wait()

    def kill_a_child(self) -> bool:
        """The process that does the work, under a parent that lives; False when there is none."""
        children = children_of(self.pid)
        if not children:
            return False
        try:
            os.kill(random.choice(children), signal.SIGKILL)
        except ProcessLookupError:
            return False
        return True

    def stop(self) -> None:
        if self._process is not None and self._process.poll() is None:
            self.kill()


def children_of(pid: int) -> list[int]:
    try:
        text = Path(f"/proc/{pid}/task/{pid}/children").read_text()
    except OSError:
        return []
    return [int(word) for word in text.split()]


def python(*words: str) -> list[str]:
    return [sys.executable, *words]


def run(words: Sequence[str], env: dict[str, str]) -> str:
    done = subprocess.run(
        words, cwd=ROOT, env=env, capture_output=True, text=True, timeout=600, check=False
    )
    if done.returncode:
        raise RuntimeError(done.stderr[-2000:])
    return done.stdout


def wait_until(true: "object", seconds: float, every: float = 0.2) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if callable(true) and true():
            return True
        time.sleep(every)
    return False
