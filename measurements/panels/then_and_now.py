"""Two pictures of one foot from the same side, and how the older one is laid over the newer."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from horses.models import Picture
from measurements.hoof.pictures.align import CannotAlign, Grounded, Similarity, mm_per_px, onto
from measurements.models import PicturePoints

ABOUT_A_YEAR = timedelta(days=365)  # house default: the same season, the same footing

UNALIGNED = (
    "Not brought to the same scale: that needs points on both. A foot that looks larger may only have "
    "been nearer."
)
BY_CARD = "Brought to the same ground line, and to the same scale by the card on both."
BY_GROUND = (
    "Brought to the same ground line, and to the same length on the ground: a card is not on both, so a "
    "foot that grew looks as large as before."
)
MIRRORED = "One is from the other side of the foot: it is mirrored."


@dataclass(frozen=True)
class Laid:
    """What the page draws: the older picture's matrix in the pixels of the newer one."""

    then: Picture
    now: Picture
    matrix: str
    words: str
    ground: tuple[float, float, float, float] | None  # a line across the newer picture

    @property
    def is_aligned(self) -> bool:
        return self.ground is not None


def chosen_two(
    pictures: Sequence[Picture], then_id: str, now_id: str
) -> tuple[Picture, Picture] | None:
    """The two asked for; else the newest, and the one nearest to a year before it. Older one first."""
    if len(pictures) < 2:
        return None
    by_id = {picture.public_id: picture for picture in pictures}
    now = by_id.get(now_id) or pictures[-1]
    others = [picture for picture in pictures if picture != now]
    wanted = now.taken_on - ABOUT_A_YEAR
    then = by_id.get(then_id)
    if then is None or then == now:
        then = min(others, key=lambda picture: abs(picture.taken_on - wanted))
    older, newer = sorted((then, now), key=lambda picture: (picture.taken_on, picture.pk))
    return older, newer


def laid_over(then: Picture, now: Picture, points: dict[int, PicturePoints]) -> Laid:
    """`points`: by the picture's number, the newest placed on it."""
    one, other = grounded(points.get(then.pk)), grounded(points.get(now.pk))
    if one is not None and other is not None:
        try:
            found = onto(one, other)
        except CannotAlign:
            pass
        else:
            return Laid(then, now, _matrix(found), _words(found), _ground(other, now.width_px))
    scale = now.width_px / max(then.width_px, 1)
    return Laid(then, now, f"matrix({scale:.5f} 0 0 {scale:.5f} 0 0)", UNALIGNED, None)


def grounded(row: PicturePoints | None) -> Grounded | None:
    if row is None or not {"ground_toe", "ground_heel"} <= set(row.points):
        return None
    scale = None
    if row.card_corners and row.card_mm:
        try:
            scale = mm_per_px(row.card_corners, float(row.card_mm))
        except CannotAlign:
            scale = None
    (tx, ty), (hx, hy) = row.points["ground_toe"], row.points["ground_heel"]
    return Grounded((float(tx), float(ty)), (float(hx), float(hy)), scale)


def _matrix(found: Similarity) -> str:
    numbers = (found.a, found.b, found.c, found.d, found.e, found.f)
    return f"matrix({' '.join(f'{number:.5f}' for number in numbers)})"


def _words(found: Similarity) -> str:
    words = BY_CARD if found.by_card else BY_GROUND
    return f"{words} {MIRRORED}" if found.mirrored else words


def _ground(foot: Grounded, width_px: int) -> tuple[float, float, float, float]:
    (x0, y0), (x1, y1) = foot.ground_toe, foot.ground_heel
    slope = (y1 - y0) / (x1 - x0)
    return 0, round(y0 - x0 * slope, 1), width_px, round(y0 + (width_px - x0) * slope, 1)
