"""Pictures for tests: drawn feet whose points are known, kept as the program keeps a picture."""

import hashlib
import io
from datetime import date, datetime
from functools import cache

from PIL import Image, ImageDraw

from caseboard.lib.photo import Photo
from horses.access import CaseAccess
from horses.models import Picture
from horses.services.pictures import Shown, Taken, pictures_add
from measurements.hoof.pictures.card_codes import SIDE_CELLS
from measurements.hoof.pictures.card_face import white_runs

SIZE_PX = (1200, 900)
# A toe wall of 50 and a heel wall of about 45 degrees on level ground, in pixels.
SIDE_POINTS: dict[str, tuple[float, float]] = {
    "ground_toe": (400.0, 700.0),
    "ground_heel": (800.0, 700.0),
    "toe_low": (517.5, 560.0),
    "toe_hairline": (601.4, 460.0),
    "heel_low": (815.0, 685.0),
    "heel_hairline": (900.0, 600.0),
}
PASTERN_POINTS = {"pastern_low": (640.0, 400.0), "pastern_high": (720.0, 300.0)}
# A film with a marker of 50 mm beside it, 10 px a mm.
FILM_POINTS: dict[str, tuple[float, float]] = {
    "marker_start": (100.0, 200.0),
    "marker_end": (100.0, 700.0),
    "ground_toe": (300.0, 750.0),
    "ground_heel": (1100.0, 750.0),
    "wall_high": (640.0, 200.0),
    "wall_low": (380.0, 510.0),
    "bone_high": (740.0, 240.0),
    "bone_low": (540.0, 525.0),
    "bone_tip": (500.0, 600.0),
    "bone_heel": (1000.0, 560.0),
    "sole_under_tip": (500.0, 740.0),
}
WHOLE_POINTS: dict[str, tuple[float, float]] = {
    "shoulder_low": (330.0, 420.0),
    "shoulder_high": (470.0, 260.0),
    "pastern_low": (345.0, 760.0),
    "pastern_high": (385.0, 705.0),
    "hoof_low": (300.0, 820.0),
    "hoof_high": (340.0, 768.0),
}
# A square of 200 px, beside the toe: 60 mm printed make 0.3 mm a pixel.
CARD = ((100.0, 480.0), (300.0, 480.0), (300.0, 680.0), (100.0, 680.0))


@cache
def drawn_foot(*, dirty: bool = False, number: int = 7) -> bytes:
    """A JPEG of a wall, a foot and the printed card beside it, all in one plane. `dirty`: the card's
    code cannot be read."""
    image = Image.new("RGB", SIZE_PX, "#7a6a55")
    draw = ImageDraw.Draw(image)
    draw.rectangle((0, 700, *SIZE_PX), fill="#a89a80")
    draw.polygon([(601, 460), (740, 280), (960, 280), (900, 600)], fill="#6d4525")
    draw.polygon([(400, 700), (601, 460), (900, 600), (800, 700)], fill="#4a4238")
    draw.rectangle((60, 440, 340, 700), fill="#fffefa")
    draw.rectangle((100, 480, 299, 679), fill="#111111")
    cell = 200 // SIDE_CELLS
    for row, first, cells in [] if dirty else white_runs(number):
        left, top = 100 + cell * first, 480 + cell * row
        draw.rectangle((left, top, left + cell * cells - 1, top + cell - 1), fill="#fffefa")
    kept = io.BytesIO()
    image.save(kept, "JPEG", quality=80)
    return kept.getvalue()


FAR_PX, FAR_AT = (2400, 1800), (900, 700)


@cache
def far_foot() -> bytes:
    """The same foot taken from further away: it fills a part of a larger picture, from FAR_AT on."""
    image = Image.new("RGB", FAR_PX, "#7a6a55")
    ImageDraw.Draw(image).rectangle((0, 1400, *FAR_PX), fill="#a89a80")
    with Image.open(io.BytesIO(drawn_foot())) as near:
        image.paste(near, FAR_AT)
    kept = io.BytesIO()
    image.save(kept, "JPEG", quality=80)
    return kept.getvalue()


def picture(
    access: CaseAccess,
    now: datetime,
    *,
    foot: str = "LF",
    view: str = "side",
    of: str = "",
    of_id: str = "",
    dirty: bool = False,
    far: bool = False,
    on: date | None = None,
) -> Picture:
    """A picture of the left fore from the side, taken today or on that day."""
    content, size = (far_foot(), FAR_PX) if far else (drawn_foot(dirty=dirty), SIZE_PX)
    photo = Photo(content, *size, hashlib.sha256(content).hexdigest())
    taken = Taken([photo], Shown(view, foot, on or now.date()))
    return pictures_add(access=access, taken=taken, of=of, of_id=of_id, now=now)[0]
