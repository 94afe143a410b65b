"""A mare whose first films must not wait: thin soles, a bone below level, and a sudden jump.

The vet has forbidden wedges; the farrier, passing by, read an angle that is a slip or an emergency.
"""

import hashlib
from datetime import date, timedelta
from decimal import Decimal

from caseboard.demo.boards import DemoBoard, aaep
from caseboard.demo.days import Days
from caseboard.demo.film_picture import HEIGHT_PX, MARKER_MM, WIDTH_PX, film_picture
from caseboard.demo.herd import Joining, horse_settle, weigh
from caseboard.demo.people import People
from caseboard.demo.series import FootLevel, Value
from caseboard.demo.visits import Deed, VisitBook, taken
from caseboard.lib.photo import Photo
from horses.models import Exam, Person
from horses.services.exams import FootFound
from horses.services.pictures import Shown, pictures_add
from horses.services.pictures import Taken as Pictures
from horses.services.plan import ItemContent
from measurements.hoof.units import parse_value
from measurements.services.picture_points import Placed, points_place
from measurements.services.readings import Taken, readings_record

FEET = {
    "LF": FootLevel(51.5, 48.5, 84, 51.5, heel_length_mm=31, coronet_mm=348),
    "RF": FootLevel(52.0, 49.0, 82, 52.0, heel_length_mm=33, coronet_mm=347),
    "LH": FootLevel(53.0, 50.0, 79, 53.5, coronet_mm=338),
    "RH": FootLevel(53.0, 50.0, 79, 53.5, coronet_mm=338),
}
# What the first films showed, deg and mm.
FILMS = {
    ("LF", "palmar_angle"): "-4.5",
    ("LF", "sole_depth"): "7",
    ("RF", "palmar_angle"): "1",
    ("RF", "sole_depth"): "8",
}


def play_linnet(days: Days, people: People) -> None:
    on = days.visits(9, last=2, gaps=(6, 6, 7))
    start = days.at(on[0], "09:00") - timedelta(days=6)
    board = horse_settle(
        people.manager,
        start,
        [Joining(people.farrier, "farrier"), Joining(people.vet, "vet")],
        name="Linnet",
        born_on=days.weeks_back(15 * 52),
        sex="mare",
        breed="cob, 14.2 hands",
        use="ridden",
        footing="soft",
        turnout="group",
        interval_days=42,
        handling="Sore in front: give her time, and a mat to stand on.",
    )
    weigh(board, people.manager, start + timedelta(days=1), 455)
    deeds = {
        0: Deed(words="New here. Flat-footed, not much sole to look at."),
        5: Deed(words="Short in front on the yard, better on the school."),
        -1: Deed(
            words="Toes backed from the top only, soles left alone as asked.",
            foot_words={"LF": "No sole taken.", "RF": "No sole taken."},
        ),
    }
    book = VisitBook(board, days, on, FEET, "linnet-16", people.farrier, days.weeks_back(-4), deeds)
    first_look = days.at(days.weeks_back(24), "10:00")
    book.until(first_look)
    board.exam(
        people.vet,
        first_look,
        "Slightly short in front on the hard, both reins.",
        aaep(1, "hard circle"),
        [FootFound("LF", 0, "none"), FootFound("RF", 0, "none")],
    )
    book.until(days.at(days.weeks_back(5)))
    _first_films(days, people, board, days.weeks_back(5, days=2))
    book.rest()
    board.read_by_all(days.at(days.weeks_back(2, days=1)))
    _passing_by(days, people, board)


def _first_films(days: Days, people: People, board: DemoBoard, on: date) -> None:
    readings_record(
        access=board.access(people.vet),
        taken_on=on,
        now=days.at(on, "10:20"),
        readings=[_film(foot, quantity, text) for (foot, quantity), text in FILMS.items()],
    )
    exam = board.exam(
        people.vet,
        days.at(on, "11:00"),
        "Filmed both fronts. Thin soles, the left coffin bone tips backwards. Nothing comes off the "
        "bottom of these feet until there is more of it.",
        aaep(3, "straight line, hard"),
        [FootFound("LF", 1, "mild", "toe"), FootFound("RF", 1, "mild", "toe")],
    )
    for foot, wall_deg, turned_deg in (("LF", 48.5, 6.0), ("RF", 49.0, 2.0)):
        _filmed(board, people.vet, exam, foot, wall_deg, turned_deg)
    item = board.propose(
        people.vet,
        days.at(on, "11:20"),
        ItemContent(
            kind="shoe",
            therapeutic=True,
            who_does="farrier",
            text="Front feet: no wedges, and no sole off, until the next films.",
            reason="There is 7 and 8 mm of sole. A wedge loads what little there is.",
        ),
    )
    board.decide(people.farrier, days.at(on, "18:40"), item)
    board.judge(days.at(on, "23:00"))
    board.decide(people.manager, days.at(on + timedelta(days=1), "07:30"), item)


def _filmed(
    board: DemoBoard, vet: Person, exam: Exam, foot: str, wall_deg: float, turned_deg: float
) -> None:
    """The film itself, as drawn. Points are on the worse one only: the other is there to be tried."""
    drawn = film_picture(
        palmar_deg=float(FILMS[foot, "palmar_angle"]),
        sole_mm=float(FILMS[foot, "sole_depth"]),
        wall_deg=wall_deg,
        turned_deg=turned_deg,
    )
    photo = Photo(drawn.jpeg, WIDTH_PX, HEIGHT_PX, hashlib.sha256(drawn.jpeg).hexdigest())
    access, at = board.access(vet), exam.recorded_at
    (film,) = pictures_add(
        access=access,
        taken=Pictures([photo], Shown("film_side", foot, exam.examined_at.date())),
        of="exam",
        of_id=exam.public_id,
        now=at,
    )
    if foot == "LF":
        placed = Placed(drawn.points, marker_mm=Decimal(MARKER_MM))
        points_place(access=access, picture_id=film.public_id, placed=placed, now=at)


def _passing_by(days: Days, people: People, board: DemoBoard) -> None:
    """At the yard for others, the farrier lays the gauge on her right fore: 41° after 52°."""
    on = days.last_farrier_day
    readings_record(
        access=board.access(people.farrier),
        taken_on=on,
        now=days.at(on, "15:40"),
        readings=[_jumped(people.farrier)],
    )
    board.note(
        people.farrier,
        days.at(on, "15:50"),
        "Read Linnet's right fore twice, 41. Light was poor. Can somebody lay a gauge on it again?",
    )


def _jumped(by: Person) -> Taken:
    return taken(Value("RF", "toe_angle", "between", 41.0), by, shod=False)


def _film(foot: str, quantity: str, text: str) -> Taken:
    entered = parse_value(text, "deg" if quantity == "palmar_angle" else "mm")
    return Taken(
        foot=foot,
        quantity=quantity,
        value=entered.base,
        entered_value=entered.value,
        entered_unit=entered.unit,
        entered_text=text,
        method="radiograph",
        trim_state="between",
        shoeing="barefoot",
    )
