"""The commands of the operating page, as a newcomer copies them."""

import re
from pathlib import Path

PAGE = Path("caseboard") / "OPERATING.md"
BLOCK = re.compile(r"^```sh\n(.*?)^```", flags=re.MULTILINE | re.DOTALL)
FOR_GOOD = re.compile(r"manage\.py serve|gunicorn|celery --app")


def recipe(folder: Path, heading: str) -> tuple[list[str], list[str]]:
    """Of the section's first block: the commands that end, and those that run for good."""
    text = (folder / PAGE).read_text(encoding="utf-8")
    section = text.split(f"## {heading}\n", 1)[1].split("\n## ", 1)[0]
    found = BLOCK.search(section)
    assert found is not None, f"no commands under {heading}"
    lines = [line for line in found[1].splitlines() if line.strip()]
    return (
        [line for line in lines if not FOR_GOOD.search(line)],
        [line for line in lines if FOR_GOOD.search(line)],
    )
