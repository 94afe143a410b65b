"""Follows the operating page to the letter in an empty folder, to a first signed-in person.

    uv run python -m tests.first_hour.run one        # one process, embedded database
    uv run python -m tests.first_hour.run several    # DATABASE_URL, REDIS_URL, CELERY_BROKER_URL set

It knows the page, what a person would answer, and where their mail arrives; nothing of the program.
"""

import os
import re
import signal
import subprocess
import sys
import tempfile
import time
from contextlib import ExitStack
from pathlib import Path

from tests.chaos.processes import free_port
from tests.chaos.sink import Inbox
from tests.first_hour.recipe import recipe
from tests.first_hour.visitor import Visitor

ROOT = Path(__file__).resolve().parent.parent.parent
HOST = "board.first-hour.example"
ME = "first.person@first-hour.example"
HEADINGS = {
    "one": "One machine, one process",
    "several": "Several processes, PostgreSQL and Redis",
}
WAIT_S = 180


def main(kind: str) -> None:
    with ExitStack() as stack:
        home = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="first-hour-")))
        mail = stack.enter_context(Inbox())
        port = free_port()
        folder = home / "board"
        checked_out(folder)
        env = bare_environment(home, port, with_servers=kind == "several")
        ends, for_good = recipe(folder, HEADINGS[kind])
        for line in ends:
            follow(line, folder, env, answers(kind, home, mail.port))
        for line in for_good:
            stack.callback(end, start(line.replace("8000", str(port)), folder, env))
        sign_in(Visitor(HOST, port), mail)
    print(f"First hour, {kind}: a person is signed in.")


def checked_out(folder: Path) -> None:
    """What a clone would hold, changes not committed yet included."""
    named = (
        subprocess.run(
            ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
            cwd=ROOT,
            capture_output=True,
            check=True,
        )
        .stdout.decode()
        .split("\0")
    )
    for name in filter(None, named):
        if (ROOT / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_bytes((ROOT / name).read_bytes())


def bare_environment(home: Path, port: int, *, with_servers: bool) -> dict[str, str]:
    """A new user's, with this machine's package settings."""
    env = {n: v for n, v in os.environ.items() if n.startswith(("UV_", "PIP_", "SSL_"))}
    env |= {"PATH": os.environ["PATH"], "HOME": str(home), "LANG": "C.UTF-8"}
    env.setdefault("UV_CACHE_DIR", os.environ.get("UV_CACHE_DIR") or uv_cache())
    env["GUNICORN_CMD_ARGS"] = f"--bind=127.0.0.1:{port}"
    if with_servers:
        env |= {n: os.environ[n] for n in ("DATABASE_URL", "REDIS_URL", "CELERY_BROKER_URL")}
    return env


def uv_cache() -> str:
    return subprocess.run(["uv", "cache", "dir"], capture_output=True, text=True).stdout.strip()


def answers(kind: str, home: Path, mail_port: int) -> str:
    """What a person types, question by question."""
    where = [str(home / "data")] if kind == "one" else []  # given on the line with several
    typed = [
        HOST,
        f"board@{HOST}",
        "127.0.0.1",
        str(mail_port),
        "",
        *where,
        "invitation",
        ME,
        "First Person",
    ]
    return "\n".join(typed) + "\n"


def follow(line: str, folder: Path, env: dict[str, str], typed: str) -> None:
    print(f"$ {line}", flush=True)
    done = subprocess.run(
        ["bash", "-c", line],
        cwd=folder,
        env=env,
        input=typed,
        capture_output=True,
        text=True,
        timeout=600,
    )
    if done.returncode:
        sys.exit(f"{done.stdout}\n{done.stderr}\nThe recipe ended here: {line}")


def start(line: str, folder: Path, env: dict[str, str]) -> subprocess.Popen[bytes]:
    print(f"$ {line} &", flush=True)
    log = (folder.parent / f"{time.monotonic_ns()}.log").open("wb")
    return subprocess.Popen(
        ["bash", "-c", line], cwd=folder, env=env, stdout=log, stderr=log, start_new_session=True
    )


def end(process: subprocess.Popen[bytes]) -> None:
    os.killpg(process.pid, signal.SIGTERM)
    try:
        process.wait(30)
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()


def sign_in(me: Visitor, mail: Inbox) -> None:
    assert me.get_when_up("/accounts/login/code/", wait_s=WAIT_S) == 200, me.page[:2000]
    style = re.search(r'href="(/static/[^"]+\.css)"', me.page)
    assert style is not None
    assert me.get(style[1]) == 200
    assert me.get("/accounts/login/code/") == 200
    before = len(mail.texts)
    assert me.post("/accounts/login/code/", email=ME) == 200, me.page[:2000]
    code = code_in(mail, after=before)
    assert me.post("/accounts/login/code/confirm/", code=code) == 200, me.page[:2000]
    assert me.get("/me/") == 200
    assert ME in me.page, me.page[:4000]
    assert "First Person" in me.page


def code_in(mail: Inbox, *, after: int) -> str:
    end_at = time.monotonic() + WAIT_S
    while time.monotonic() < end_at:
        if code := mail.code(after=after):
            return code
        time.sleep(0.3)
    raise AssertionError("no mail with a code arrived")


if __name__ == "__main__":
    main(sys.argv[1])
