"""The image installs exactly what pyproject.toml pins, each file checked by its hash."""

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LISTED = (ROOT / "caseboard" / "requirements.txt").read_text()
PIN = re.compile(r"^([A-Za-z0-9._-]+)(?:\[[^\]]*\])?==([^\s;]+)", flags=re.MULTILINE)


def named(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def pins(lines: list[str]) -> dict[str, str]:
    return {named(m[1]): m[2] for line in lines if (m := PIN.match(line))}


def project() -> tuple[dict[str, str], dict[str, str]]:
    told = tomllib.loads((ROOT / "pyproject.toml").read_text())
    direct = told["project"]["dependencies"] + told["project"]["optional-dependencies"]["s3"]
    return pins(direct), pins(told["tool"]["uv"]["constraint-dependencies"])


def listed() -> dict[str, str]:
    return {named(name): version for name, version in PIN.findall(LISTED)}


def test_every_direct_package_is_listed_at_its_pin() -> None:
    direct, _ = project()
    assert direct.items() <= listed().items()


def test_everything_that_comes_along_is_pinned_as_well() -> None:
    direct, along = project()
    assert listed().items() <= {**along, **direct}.items()


def test_each_has_a_hash_and_none_says_where_it_comes_from() -> None:
    for block in re.split(r"\n(?=\S)", LISTED.strip()):
        assert "--hash=sha256:" in block, block[:60]
    assert "://" not in LISTED
