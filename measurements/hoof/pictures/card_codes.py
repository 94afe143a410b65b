"""The squares of the numbered cards: sixty codes of 6 x 6 cells that cannot be mistaken.

Taken, in their order, from the 250 codes that OpenCV publishes as DICT_ARUCO_MIP_36h12 (any two of them,
turned or not, differ in at least 12 of 36 cells). Kept were those that also differ from every mirrored
code, their own included, in at least 11 cells, and that are neither very dark nor very light: so a
mirrored picture is known as mirrored and never read as another card. tests/hoof/pictures/ checks it.
"""

import numpy as np
import numpy.typing as npt

CELLS = 6  # a side of the code
BORDER_CELLS = 1  # black all round it
SIDE_CELLS = CELLS + 2 * BORDER_CELLS

# Row by row from the top left corner, the first cell in the highest bit; 1 is white.
_CODES = [
    "d2b63a09d",
    "1206fbe72",
    "ff8ad6cb4",
    "85da9bc49",
    "6db51fe13",
    "5248c541f",
    "b48a49f27",
    "2e4e1283b",
    "78b1f2fa8",
    "4c1669406",
    "bf49b3511",
    "428d8ae0c",
    "2319cbc93",
    "0424bccc9",
    "f38d7fd60",
    "c6cbf9a10",
    "276f75e63",
    "3cc68df59",
    "b6d62ec21",
    "4caa07c8d",
    "5c9b4f7b0",
    "0705c5750",
    "ac81f545e",
    "1ee27f716",
    "192d25e5f",
    "445681cb9",
    "9968edc29",
    "6ac44bfe2",
    "645346615",
    "3990bd598",
    "c26729d65",
    "3ac05ac5d",
    "640fd9e5f",
    "109bb343e",
    "c21435c92",
    "ec915b82c",
    "25dd82410",
    "239551d34",
    "718613c08",
    "4c03b7a46",
    "365e78ef9",
    "49caa6ca2",
    "03c39ddf3",
    "c68c5385d",
    "313035eab",
    "8d3409e0d",
    "469ffc724",
    "668339da9",
    "f84c9a770",
    "7a5d45da8",
    "036c47dd7",
    "6e5b28574",
    "33e67cd91",
    "ae65dac12",
    "1251a4526",
    "e2f096ee0",
    "ac02baea8",
    "1d4386e08",
    "4589ffc8e",
    "064265f7d",
]
CARDS = len(_CODES)  # numbered from 1


def code_cells(number: int) -> npt.NDArray[np.uint8]:
    """The cells of a card's code, shape (6, 6), 1 where the cell is white.

    Raises ValueError for a number that no card has.
    """
    if not 1 <= number <= CARDS:
        raise ValueError(f"cards are numbered from 1 to {CARDS}")
    value = int(_CODES[number - 1], 16)
    bits = [value >> shift & 1 for shift in range(CELLS * CELLS - 1, -1, -1)]
    return np.array(bits, dtype=np.uint8).reshape(CELLS, CELLS)
