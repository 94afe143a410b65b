"""A photo of a foot as far as a form is concerned; no two are the same."""

import io
import random

from PIL import Image


def jpeg(word: str, *, side_px: int = 480) -> bytes:
    chance = random.Random(word)
    grain = Image.frombytes("RGB", (48, 48), chance.randbytes(48 * 48 * 3))
    made = io.BytesIO()
    grain.resize((side_px, side_px)).save(made, "JPEG", quality=85)
    return made.getvalue()
