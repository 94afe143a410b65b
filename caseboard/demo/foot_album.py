"""The pictures of Hazel's left fore over two years: taken after the trim, some with points placed."""

import hashlib
from collections.abc import Callable
from decimal import Decimal

from caseboard.demo.boards import DemoBoard
from caseboard.demo.foot_picture import HEIGHT_PX, WIDTH_PX, Aim, foot_picture
from caseboard.lib.photo import Photo
from horses.models import Person, Visit
from horses.services.pictures import Shown, Taken, pictures_add
from measurements.hoof.outline import SideNumbers
from measurements.hoof.pictures.card_face import SIDE_MM
from measurements.models import Reading
from measurements.services.picture_points import Placed, points_place

FOOT, HEEL_LENGTH_MM, PASTERN_DEG = "LF", 36.0, 50.5
# By the visit's number: how the phone was held, and whether points were placed on it.
TAKEN: dict[int, tuple[Aim, bool]] = {
    5: (Aim(760, 4, 3, 1, 61), True),
    9: (Aim(900, -6, 4, -2, 91), False),
    12: (Aim(700, 2, 2, 2, 121), True),
    14: (Aim(820, 7, 5, -1, 141), False),
    16: (Aim(740, -3, 3, 1, 161), True),
    19: (Aim(720, 5, 4, 2, 191), True),
}


def album(board: DemoBoard, by: Person) -> Callable[[int, Visit], None]:
    """What is done after each visit: a picture, at some of them."""

    def after(index: int, visit: Visit) -> None:
        if index in TAKEN:
            _take(board, by, visit, *TAKEN[index])

    return after


def _take(board: DemoBoard, by: Person, visit: Visit, aim: Aim, placed: bool) -> None:
    drawn = foot_picture(_numbers(visit), aim)
    photo = Photo(drawn.jpeg, WIDTH_PX, HEIGHT_PX, hashlib.sha256(drawn.jpeg).hexdigest())
    access, at = board.access(by), visit.recorded_at
    (picture,) = pictures_add(
        access=access,
        taken=Taken([photo], Shown("side", FOOT, visit.kept_on)),
        of="visit",
        of_id=visit.public_id,
        now=at,
    )
    if placed:
        points_place(
            access=access,
            picture_id=picture.public_id,
            placed=Placed(drawn.points, drawn.card_corners, Decimal(str(SIDE_MM)), shoe_then="on"),
            now=at,
        )


def _numbers(visit: Visit) -> SideNumbers:
    """As it was measured that day, after the trim."""
    rows = Reading.objects.filter(visit=visit, foot=FOOT, trim_state="after")
    found = {row.quantity: float(row.value) for row in rows}
    return SideNumbers(
        toe_angle_deg=found["toe_angle"],
        toe_length_mm=found["toe_length"],
        heel_angle_deg=found["heel_angle"],
        heel_length_mm=HEEL_LENGTH_MM,
        pastern_angle_deg=PASTERN_DEG,
        is_shod=True,
    )
