"""Photos on this machine's disk: for its own user only, and on the disk before the row that names
them is saved."""

from pathlib import Path
from typing import Any

from django.core.files.storage import FileSystemStorage

from caseboard.lib.durable import sync_file, sync_folders


class PhotoDisk(FileSystemStorage):
    def _save(self, name: str, content: Any) -> str:
        kept = super()._save(name, content)  # type: ignore[misc]
        path = Path(self.path(kept))
        sync_file(path)
        sync_folders(path.parent, Path(self.location))
        return str(kept)
