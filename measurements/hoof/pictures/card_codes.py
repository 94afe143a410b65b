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
# fmt: off
_CODES = (
    0xD2B63A09D, 0x1206FBE72, 0xFF8AD6CB4, 0x85DA9BC49, 0x6DB51FE13, 0x5248C541F,
    0xB48A49F27, 0x2E4E1283B, 0x78B1F2FA8, 0x4C1669406, 0xBF49B3511, 0x428D8AE0C,
    0x2319CBC93, 0x0424BCCC9, 0xF38D7FD60, 0xC6CBF9A10, 0x276F75E63, 0x3CC68DF59,
    0xB6D62EC21, 0x4CAA07C8D, 0x5C9B4F7B0, 0x0705C5750, 0xAC81F545E, 0x1EE27F716,
    0x192D25E5F, 0x445681CB9, 0x9968EDC29, 0x6AC44BFE2, 0x645346615, 0x3990BD598,
    0xC26729D65, 0x3AC05AC5D, 0x640FD9E5F, 0x109BB343E, 0xC21435C92, 0xEC915B82C,
    0x25DD82410, 0x239551D34, 0x718613C08, 0x4C03B7A46, 0x365E78EF9, 0x49CAA6CA2,
    0x03C39DDF3, 0xC68C5385D, 0x313035EAB, 0x8D3409E0D, 0x469FFC724, 0x668339DA9,
    0xF84C9A770, 0x7A5D45DA8, 0x036C47DD7, 0x6E5B28574, 0x33E67CD91, 0xAE65DAC12,
    0x1251A4526, 0xE2F096EE0, 0xAC02BAEA8, 0x1D4386E08, 0x4589FFC8E, 0x064265F7D,
)
# fmt: on
CARDS = len(_CODES)  # numbered from 1


def code_cells(number: int) -> npt.NDArray[np.uint8]:
    """The cells of a card's code, shape (6, 6), 1 where the cell is white.

    Raises ValueError for a number that no card has.
    """
    if not 1 <= number <= CARDS:
        raise ValueError(f"cards are numbered from 1 to {CARDS}")
    value = _CODES[number - 1]
    bits = [value >> shift & 1 for shift in range(CELLS * CELLS - 1, -1, -1)]
    return np.array(bits, dtype=np.uint8).reshape(CELLS, CELLS)
