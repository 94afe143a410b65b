"""What a card stands on and before: invented surfaces, each a square tile of grey values 0 to 1."""

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw

TILE_PX = 768
Grey = npt.NDArray[np.floating]


def _cloudy(rng: np.random.Generator, roughest: int) -> Grey:
    """Noise of many sizes, as earth and concrete show it."""
    total = np.zeros((TILE_PX, TILE_PX), np.float32)
    cells = 4
    while cells <= roughest:
        small = rng.random((cells, cells), dtype=np.float32)
        big = Image.fromarray(small).resize((TILE_PX, TILE_PX), Image.Resampling.BICUBIC)
        total += np.asarray(big) / np.sqrt(cells)
        cells *= 2
    total -= total.min()
    return total / total.max()


def earth(rng: np.random.Generator) -> Grey:
    return 0.15 + 0.45 * _cloudy(rng, 256)


def concrete(rng: np.random.Generator) -> Grey:
    return 0.5 + 0.3 * _cloudy(rng, 512)


def gravel(rng: np.random.Generator) -> Grey:
    picture = Image.new("L", (TILE_PX, TILE_PX), 60)
    draw = ImageDraw.Draw(picture)
    for x, y, size, grey in zip(
        *rng.integers(0, TILE_PX, (2, 5000)),
        rng.integers(4, 22, 5000),
        rng.integers(40, 235, 5000),
        strict=True,
    ):
        draw.ellipse((x, y, x + size, y + size * 0.8), fill=int(grey))
    return np.asarray(picture, np.float32) / 255


def straw(rng: np.random.Generator) -> Grey:
    picture = Image.new("L", (TILE_PX, TILE_PX), 90)
    draw = ImageDraw.Draw(picture)
    for _ in range(2500):
        x, y = rng.integers(0, TILE_PX, 2)
        dx, dy = rng.integers(-70, 70, 2)
        draw.line(
            (x, y, x + dx, y + dy), fill=int(rng.integers(70, 250)), width=int(rng.integers(1, 6))
        )
    return np.asarray(picture, np.float32) / 255


def chequered(rng: np.random.Generator) -> Grey:
    step = int(rng.integers(12, 70))
    rows, columns = np.indices((TILE_PX, TILE_PX)) // step
    return np.where((rows + columns) % 2, 0.92, 0.08).astype(np.float32)


def random_cells(rng: np.random.Generator) -> Grey:
    """The hardest: black and white cells as a card has them, in no order that is a card's."""
    step = int(rng.integers(10, 40))
    cells = rng.integers(0, 2, (TILE_PX // step + 1,) * 2)
    return np.kron(cells, np.ones((step, step)))[:TILE_PX, :TILE_PX].astype(np.float32)


def false_squares(rng: np.random.Generator) -> Grey:
    """Black-bordered squares on white, with random cells inside: the shape of a card, without a code."""
    tile = np.full((TILE_PX, TILE_PX), 0.95, np.float32)
    step = int(rng.integers(8, 16))
    for top in range(step, TILE_PX - 10 * step, 11 * step):
        for left in range(step, TILE_PX - 10 * step, 11 * step):
            cells = np.pad(rng.integers(0, 2, (6, 6)), 1)
            tile[top : top + 8 * step, left : left + 8 * step] = np.kron(
                cells, np.ones((step, step))
            )
    return tile


def planks(rng: np.random.Generator) -> Grey:
    tile = 0.3 + 0.5 * _cloudy(rng, 64)
    step = int(rng.integers(40, 160))
    for left in range(0, TILE_PX, step):
        tile[:, left : left + step // 2] *= 0.15 + 0.3 * rng.random()
    return tile.T.copy() if rng.random() < 0.5 else tile


def wire_fence(rng: np.random.Generator) -> Grey:
    tile = 0.4 + 0.4 * _cloudy(rng, 64)
    step = int(rng.integers(30, 90))
    for at in range(0, TILE_PX, step):
        tile[at : at + 5] = 0.08
        tile[:, at : at + 5] = 0.08
    return tile


def lettering(rng: np.random.Generator) -> Grey:
    picture = Image.new("L", (TILE_PX, TILE_PX), 235)
    draw = ImageDraw.Draw(picture)
    letters = "ABCDEFGHKLMNOPRSTUVWXYZ0123456789"
    for y in range(0, TILE_PX, 30):
        words = "".join(rng.choice(list(letters + "   "), 60))
        draw.text((0, y), words, fill=15, font_size=int(rng.integers(14, 30)))
    return np.asarray(picture, np.float32) / 255


def brick(rng: np.random.Generator) -> Grey:
    tile = 0.3 + 0.25 * _cloudy(rng, 256)
    for row, top in enumerate(range(0, TILE_PX, 64)):
        tile[top : top + 8] = 0.8
        for left in range(64 * (row % 2), TILE_PX, 128):
            tile[top : top + 64, left : left + 8] = 0.8
    return tile


GROUNDS = (earth, concrete, gravel, straw, chequered)
WALLS = (
    earth,
    planks,
    wire_fence,
    lettering,
    brick,
    chequered,
    concrete,
    random_cells,
    false_squares,
)
