"""`manage.py measure_picture`, without a database."""

import io
import json
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from tests.hoof.pictures.rendered import Shot, rendered

POINTS = {
    "ground_toe": [250, 420],
    "ground_heel": [420, 420],
    "toe_low": [295, 360],
    "toe_hairline": [340, 300],
}


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "foot.jpg"
    path.write_bytes(rendered(Shot(seed=2, side_px=90, width_px=640, height_px=480)).jpeg)
    return path


def measured(photo: Path, points: Any, *more: str, view: str = "side") -> dict[str, Any]:
    file, out = photo.with_name("points.json"), photo.with_name("result.json")
    file.write_text(points if isinstance(points, str) else json.dumps(points))
    said = ["--view", view, "--points", str(file), "--out", str(out), *more]
    call_command("measure_picture", str(photo), *said, stdout=io.StringIO())
    result: dict[str, Any] = json.loads(out.read_text())
    return result


def test_a_quantity_comes_with_its_error_and_what_is_wanting_is_said(photo: Path) -> None:
    said = measured(photo, POINTS)
    assert said["card_found"] is True
    toe = said["toe_angle"]
    assert toe["unit"] == "deg"
    assert toe["low95"] < toe["value"] < toe["high95"]
    assert toe["sd"] > 0
    assert said["toe_length"]["unit"] == "mm"
    assert "heel low" in said["heel_angle"]["refused"]


def test_a_card_printed_smaller_makes_lengths_shorter_and_leaves_angles(photo: Path) -> None:
    full, small = measured(photo, POINTS), measured(photo, POINTS, "--card-mm", "54")
    ratio = small["toe_length"]["value"] / full["toe_length"]["value"]
    assert ratio == pytest.approx(0.9, abs=0.01)
    assert small["toe_angle"]["value"] == pytest.approx(full["toe_angle"]["value"], abs=0.3)


def test_a_card_said_to_stand_off_the_plane_makes_lengths_less_sure_and_hardly_angles(
    photo: Path,
) -> None:
    near, off = (measured(photo, POINTS, "--card-off-mm", off_mm) for off_mm in ("9", "40"))
    assert off["toe_length"]["sd"] > 1.3 * near["toe_length"]["sd"]
    assert off["toe_angle"]["sd"] < 1.1 * near["toe_angle"]["sd"]


def test_where_nobody_says_where_the_card_stood_lengths_are_less_sure_than_near_its_plane(
    photo: Path,
) -> None:
    near, unsaid = measured(photo, POINTS, "--card-off-mm", "9"), measured(photo, POINTS)
    assert unsaid["toe_length"]["sd"] > 1.1 * near["toe_length"]["sd"]


def test_a_hand_said_to_be_steady_is_surer_than_one_nobody_spoke_of(photo: Path) -> None:
    said, unsaid = measured(photo, POINTS, "--tap-px", "2"), measured(photo, POINTS)
    assert said["toe_angle"]["sd"] < 0.97 * unsaid["toe_angle"]["sd"]


def test_without_a_card_angles_are_coarser_and_lengths_refused(photo: Path) -> None:
    with_card = measured(photo, POINTS)
    photo.write_bytes(rendered(Shot(seed=2, card=None, width_px=640, height_px=480)).jpeg)
    without = measured(photo, POINTS)
    assert without["card_found"] is False
    assert without["toe_angle"]["sd"] > with_card["toe_angle"]["sd"]
    assert "refused" in without["toe_length"]


@pytest.mark.parametrize("view", ["front", "sole", "whole", "film-side", "film-front"])
def test_every_view_answers_without_points_in_words(photo: Path, view: str) -> None:
    said = measured(photo, {}, view=view)
    quantities = [each for each in said.values() if isinstance(each, dict) and "refused" in each]
    assert len(quantities) >= 3


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ("{", "not JSON"),
        ({"ground_tow": [1, 2]}, "ground_tow"),
        ({"ground_toe": [900, 20]}, "off the picture"),
    ],
)
def test_bad_points_end_with_words_and_a_code(photo: Path, points: Any, words: str) -> None:
    with pytest.raises(CommandError, match=words) as ended:
        measured(photo, points)
    assert ended.value.returncode == 2
    assert not photo.with_name("result.json").exists()


def test_a_broken_or_missing_picture_ends_with_words(photo: Path) -> None:
    photo.write_bytes(b"no picture")
    with pytest.raises(CommandError, match="cannot be read as a photo"):
        measured(photo, POINTS)
    photo.unlink()
    with pytest.raises(CommandError, match="cannot be read"):
        measured(photo, POINTS)


@pytest.mark.parametrize("command", ["measure_picture", "picture_card"])
def test_the_help_says_that_no_real_feet_were_tried(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        call_command(command, "--help")
    said = " ".join(capsys.readouterr().out.split())
    assert "No real photographs of feet with a card were available to us" in said
