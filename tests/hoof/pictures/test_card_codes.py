"""No card can be taken for another, nor for one in a mirror."""

import numpy as np
import pytest

from measurements.hoof.pictures.card_codes import CARDS, code_cells

CODES = np.stack([code_cells(number) for number in range(1, CARDS + 1)])
TURNED = np.stack([np.rot90(CODES, turn, (1, 2)) for turn in range(4)], axis=1)


def test_two_cards_differ_in_eleven_cells_however_they_are_turned() -> None:
    differs = (CODES[:, None, None] != TURNED[None]).sum((-1, -2))
    itself = np.arange(CARDS)
    differs[itself, itself, 0] = 99  # but for the same card the same way up
    assert differs.min() >= 11


def test_no_card_looks_like_any_in_a_mirror() -> None:
    mirrored = CODES[:, :, ::-1]
    assert (mirrored[:, None, None] != TURNED[None]).sum((-1, -2)).min() >= 11


@pytest.mark.parametrize("number", [0, -1, CARDS + 1])
def test_there_is_no_such_card(number: int) -> None:
    with pytest.raises(ValueError, match="numbered"):
        code_cells(number)
