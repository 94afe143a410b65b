"""The drawing of a card's face is right to a small part of a pixel."""

import numpy as np
import pytest

from measurements.hoof.pictures.card_face import SIDE_MM, face_drawn, square_cells, white_runs


@pytest.mark.parametrize("px_per_mm", [2.0, 3.7, 300 / 25.4])
def test_the_square_lies_where_its_corners_say(px_per_mm: float) -> None:
    face = face_drawn(7, px_per_mm=px_per_mm)
    left, top = face.corners_px[0]
    right, bottom = face.corners_px[2]
    assert right - left == pytest.approx(SIDE_MM * px_per_mm)
    # Along the middle of its border cell the left edge is where the grey turns.
    dark = 255 - face.grey[round(top) + 3 : round(bottom) - 3, : round(left) + 3]
    assert (dark.sum(1) / 255).mean() == pytest.approx(round(left) + 3 - left - 0.5, abs=1e-6)


def test_the_ink_is_as_much_as_the_black_cells_have() -> None:
    face = face_drawn(12, px_per_mm=5.3)
    black = (1 - square_cells(12)).sum() * (SIDE_MM / 8 * 5.3) ** 2
    assert (255 - face.grey).sum() / 255 == pytest.approx(black)


def test_the_white_runs_cover_the_white_cells() -> None:
    drawn = np.zeros((8, 8), int)
    for row, column, length in white_runs(33):
        drawn[row, column : column + length] += 1
    assert (drawn == square_cells(33)).all()


def test_too_few_dots_are_refused() -> None:
    with pytest.raises(ValueError, match="dots"):
        face_drawn(1, px_per_mm=0.2)
