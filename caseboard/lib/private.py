"""What the installation keeps is for its own user: other people of the machine read none of it."""

import os
import stat
from contextlib import suppress
from pathlib import Path

FOLDER, FILE = 0o700, 0o600
UMASK = 0o077


def private_make(folder: Path) -> None:
    """Makes the folder, or puts one right that others could read."""
    folder.mkdir(mode=FOLDER, parents=True, exist_ok=True)
    private_keep(folder)


def private_keep(path: Path) -> None:
    """Takes others' rights away from a file or folder of ours. Nothing happens to what is not there,
    is somebody else's, is shared by design (a sticky folder) or lies on a disk that takes nothing."""
    with suppress(OSError):
        found = path.lstat()
        is_folder = stat.S_ISDIR(found.st_mode)
        ours = found.st_uid == os.geteuid() and (is_folder or stat.S_ISREG(found.st_mode))
        open_to_others = found.st_mode & UMASK and not found.st_mode & stat.S_ISVTX
        if ours and open_to_others:
            path.chmod(FOLDER if is_folder else FILE)


def private_state(state: Path, *, mailbox: Path, media: Path, database: str) -> None:
    """Restricts everything in a state folder. Called at each start, to repair older installations."""
    for folder in (state, mailbox, media):
        private_keep(folder)
    for mail in mailbox.glob("*.eml"):
        private_keep(mail)
    if database:
        for ending in ("", "-wal", "-shm", "-journal"):
            private_keep(Path(f"{database}{ending}"))
