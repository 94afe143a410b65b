"""Horses of which somebody else speaks: a visit that the groom reported, and a customer's horse that the
farrier holds for an owner without an account."""

from datetime import timedelta

from caseboard.demo.boards import DemoBoard, routine_board
from caseboard.demo.days import Days
from caseboard.demo.herd import Joining, horse_settle
from caseboard.demo.people import People
from caseboard.demo.series import FootLevel
from caseboard.demo.visits import Deed, VisitBook
from horses.models import Role
from horses.services.horses import HeldFor, horse_create
from horses.services.plan import ItemContent
from horses.services.visit_word import visit_report

ROWAN_FEET = {
    "LF": FootLevel(51.0, 48.0, 82, 51.5, heel_length_mm=35, coronet_mm=350),
    "RF": FootLevel(51.0, 48.0, 82, 51.5, heel_length_mm=35, coronet_mm=351),
    "LH": FootLevel(53.0, 50.0, 80, 53.5, coronet_mm=342),
    "RH": FootLevel(53.0, 50.0, 80, 53.5, coronet_mm=342),
}
SEDGE_FEET = {
    "LF": FootLevel(52.0, 49.0, 77, 52.0, shod=True, heel_length_mm=33, coronet_mm=336),
    "RF": FootLevel(52.0, 49.0, 77, 52.0, shod=True, heel_length_mm=33, coronet_mm=335),
    "LH": FootLevel(54.0, 51.0, 75, 54.0, coronet_mm=328),
    "RH": FootLevel(54.0, 51.0, 75, 54.0, coronet_mm=328),
}


def play_rowan(days: Days, people: People) -> None:
    """The farrier came and has not typed yet: the groom's word counts, and waits for his tap."""
    on = days.visits(3, last=7, gaps=(7,))
    board = horse_settle(
        people.manager,
        days.at(on[0], "09:00") - timedelta(days=3),
        [Joining(people.farrier, "farrier"), Joining(people.groom, "carer")],
        name="Rowan",
        born_on=days.weeks_back(8 * 52),
        sex="gelding",
        breed="cob, 15 hands",
        use="school",
        footing="mixed",
        turnout="group",
        interval_days=49,
    )
    came = days.last_farrier_day
    VisitBook(board, days, on, ROWAN_FEET, "rowan-1", people.farrier, came).rest()
    board.read_by_all(days.back(20, "20:00"))
    visit_report(
        access=board.access(people.groom),
        on=came,
        words="Done last of all, in a hurry. Stood well.",
        next_on=days.weeks_back(-7),
        now=days.at(came, "17:40"),
    )


def play_sedge(days: Days, people: People) -> None:
    """Gus's own customer: her name and phone are all that he knows, and the horse is held for her."""
    on = days.visits(3, last=4, gaps=(7,))
    start = days.at(on[0], "08:40")
    horse = horse_create(
        person=people.farrier,
        fields={
            "name": "Sedge",
            "yard": "Tarrow's field, by the ford",
            "sex": "mare",
            "use": "ridden",
            "handling": "Stands like a rock.",
            "interval_days": 49,
        },
        held_for=HeldFor(Role.FARRIER, "Nell Tarrow", "01632 960208"),
        now=start,
    )
    board: DemoBoard = routine_board(horse)
    deeds = {-1: Deed(words="Fronts again, hinds trimmed.")}
    VisitBook(
        board, days, on, SEDGE_FEET, "sedge-3", people.farrier, days.weeks_back(-3), deeds
    ).rest()
    board.propose(
        people.farrier,
        days.at(on[-1], "12:30"),
        ItemContent(
            kind="home",
            therapeutic=False,
            who_does="owner",
            text="Pick the hinds out daily; the frogs are soft.",
            reason="Wet field.",
        ),
    )
    board.read_by_all(days.back(10, "20:00"))
