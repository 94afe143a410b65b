"""The comparison that anyone can publish reads its table and reckons rightly."""

import json
from pathlib import Path

import pytest

from tests.bench.pictures.compare import COLUMNS, BadTable, lines, pairs_of


def _table(folder: Path, rows: list[tuple[str, float, float]]) -> Path:
    """A table of (foot, value off the picture, gauge)."""
    written = [",".join(COLUMNS)]
    for number, (foot, value, gauge) in enumerate(rows):
        said = {"toe_angle": {"value": value, "unit": "deg", "sd": 0.8}}
        (folder / f"{number}.json").write_text(json.dumps(said))
        written.append(f"{number}.jpg,{foot},toe_angle,{gauge},{number}.json")
    table = folder / "table.csv"
    table.write_text("\n".join(written))
    return table


def test_a_steady_offset_is_the_bias(tmp_path: Path) -> None:
    rows = [("a", 52.0, 51.0), ("b", 50.5, 49.0), ("c", 47.0, 46.5), ("d", 55.0, 54.0)]
    (quantity, pairs), *_ = pairs_of(_table(tmp_path, rows)).items()
    said = "\n".join(lines(quantity, pairs))
    assert "4 values of 4 feet" in said
    assert "+1.00 deg" in said
    assert "too narrow" in said


def test_several_pictures_of_one_foot_count_as_one(tmp_path: Path) -> None:
    rows = [("a", 53.0, 51.0), ("a", 51.0, 51.0), ("b", 50.0, 49.0)]
    (quantity, pairs), *_ = pairs_of(_table(tmp_path, rows)).items()
    assert "3 values of 2 feet" in lines(quantity, pairs)[0]


def test_a_missing_result_is_named_by_its_row(tmp_path: Path) -> None:
    table = _table(tmp_path, [("a", 52.0, 51.0)])
    (tmp_path / "0.json").unlink()
    with pytest.raises(BadTable, match="Row 2"):
        pairs_of(table)
