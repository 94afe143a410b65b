"""Writes a copy as a zip: one JSON with everything, tables as CSV, the pictures."""

import csv
import io
import json
import tempfile
import zipfile
from typing import IO, Any

from caseboard.export.case_copy import Copy

IN_MEMORY = 4 * 1024 * 1024  # larger ones go to a file that ends with the answer
# Spreadsheets run a cell that begins so as a formula.
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
WHEN = (2000, 1, 1, 0, 0, 0)  # the same content gives the same bytes


def copy_zip(copy: Copy, *, json_name: str) -> IO[bytes]:
    # Left open for the answer, which closes it.
    out: IO[bytes] = tempfile.SpooledTemporaryFile(max_size=IN_MEMORY)  # noqa: SIM115  (the answer closes it)
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        _put(archive, "README.txt", "\r\n".join((*copy.about, "")))
        text = json.dumps(copy.parts, ensure_ascii=False, indent=1, allow_nan=False)
        _put(archive, json_name, text)
        for part, rows in copy.parts.items():
            if isinstance(rows, list) and rows:
                _put(archive, f"{part}.csv", table(rows))
        for name, page in copy.papers:
            _put(archive, f"sheets/{name}", page, zipfile.ZIP_STORED)
        for name, file in copy.photos:
            try:
                with file.open("rb") as picture:
                    _put(archive, f"photos/{name}", picture.read(), zipfile.ZIP_STORED)
            except OSError:  # lost from the disk: the rest is worth having
                _put(archive, f"photos/{name}.missing.txt", "The file of this photo is not there.")
    out.seek(0)
    return out


def _put(
    archive: zipfile.ZipFile, name: str, content: str | bytes, kind: int = zipfile.ZIP_DEFLATED
) -> None:
    entry = zipfile.ZipInfo(name, WHEN)
    entry.compress_type = kind
    entry.external_attr = 0o600 << 16
    archive.writestr(entry, content)


def table(rows: list[dict[str, Any]]) -> bytes:
    """The rows as CSV with a mark of UTF-8 in front, as spreadsheets want it."""
    columns = list(dict.fromkeys(name for row in rows for name in row))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([cell(row.get(name)) for name in columns] for row in rows)
    return b"\xef\xbb\xbf" + out.getvalue().encode()


def cell(value: Any) -> str:
    """One value as text that no spreadsheet takes for a formula; a number stays one."""
    if value is None:
        return ""
    if isinstance(value, list | dict):
        return json.dumps(value, ensure_ascii=False)
    text = str(value)
    if text.startswith(FORMULA) and not _is_number(text):
        return f"'{text}"
    return text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return text[-1].isdigit()
