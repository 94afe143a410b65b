"""Horses that wait for somebody: a shoe lost today, and two visits that did not take place."""

from datetime import date, datetime, timedelta

from caseboard.demo.boards import DemoBoard, aaep
from caseboard.demo.days import Days
from caseboard.demo.herd import Joining, horse_settle, weigh
from caseboard.demo.people import People
from caseboard.demo.series import FootLevel
from caseboard.demo.visits import Deed, VisitBook
from horses.models import Visit
from horses.services.exams import FootFound
from horses.services.plan import ItemContent
from horses.services.visit_planning import visit_plan
from horses.services.visit_word import visit_deny

FENNEL_FEET = {
    "LF": FootLevel(51.0, 47.5, 86, 51.5, shod=True, heel_length_mm=38, coronet_mm=366),
    "RF": FootLevel(51.0, 47.5, 86, 51.5, shod=True, heel_length_mm=38, coronet_mm=365),
    "LH": FootLevel(53.5, 50.5, 84, 54.0, shod=True, heel_length_mm=37, coronet_mm=356),
    "RH": FootLevel(53.5, 50.5, 84, 54.0, shod=True, heel_length_mm=37, coronet_mm=356),
}

FENNEL_DEEDS = {
    0: Deed(words="Shod all round, same as before."),
    6: Deed(words="Stud holes in the hinds as asked."),
    11: Deed(
        words="Right fore was hanging by two nails. Caught it in time.",
        foot_words={"RF": "Clenches risen, wall chipped on the outside."},
        wear={"RF": "outside"},
        landing={"RF": "outside"},
    ),
    -1: Deed(
        words="All tight. Fronts fitted a touch closer at the heels.",
        foot_words={"RF": "Old nail holes filled."},
    ),
}


def play_fennel(days: Days, people: People) -> None:
    """A horse at livery, shod all round, quiet by the numbers; the right fore shoe is off today."""
    on = days.visits(17, last=3, gaps=(6, 7, 6))
    start = days.at(on[0], "09:00") - timedelta(days=8)
    board = _settle_fennel(days, people, start)
    weigh(board, people.owner, start + timedelta(days=2), 548, method="scale")
    book = VisitBook(
        board,
        days,
        on,
        FENNEL_FEET,
        "fennel-148",
        people.farrier,
        days.weeks_back(-4),
        FENNEL_DEEDS,
    )
    book.until(days.at(days.weeks_back(30)))
    _yearly_look(days, people, board)
    book.until(days.at(days.weeks_back(17)))
    _first_loss(days, people, board, days.weeks_back(17, days=4))
    book.rest()
    board.read_by_all(days.back(12, "20:00"))
    _boots(days, people, board)
    _shoe_off(days, people, board)


def _settle_fennel(days: Days, people: People, start: datetime) -> DemoBoard:
    return horse_settle(
        people.owner,
        start,
        [
            Joining(people.manager, "owner"),
            Joining(people.farrier, "farrier"),
            Joining(people.stand_in, "farrier", stand_in=True),
            Joining(people.vet, "vet"),
            Joining(people.groom, "carer"),
        ],
        name="Fennel",
        born_on=days.weeks_back(12 * 52),
        sex="gelding",
        breed="warmblood cross, 16.1 hands",
        use="sport",
        footing="mixed",
        turnout="group",
        interval_days=42,
        handling="Snatches the left hind. Give him a second.",
    )


def _yearly_look(days: Days, people: People, board: DemoBoard) -> None:
    board.exam(
        people.vet,
        days.at(days.weeks_back(30, days=2), "09:45"),
        "Yearly look before the season. Level on both reins, hard and soft. No reaction to "
        "testers.",
        aaep(0, "hard circle, both reins"),
        [FootFound(foot, 0, "none") for foot in ("LF", "RF", "LH", "RH")],
    )


def _shoe_off(days: Days, people: People, board: DemoBoard) -> None:
    found = days.now - timedelta(minutes=95)
    board.flag(
        people.groom,
        found,
        ["lost_shoe"],
        ["RF"],
        "Right fore shoe off in the bottom field. Found it, all the nails are in it. Bit of wall "
        "gone but he walks sound. In the box, foot wrapped.",
        found.date(),
    )


def _first_loss(days: Days, people: People, board: DemoBoard, on: date) -> None:
    flag = board.flag(
        people.owner,
        days.at(on, "07:50"),
        ["lost_shoe"],
        ["RF"],
        "Off fore shoe gone, think he trod on it. Not lame.",
        on,
    )
    board.answer(
        people.farrier,
        days.at(on, "08:20"),
        flag,
        "Keep him in or on the soft. I am past your way tomorrow at four, I will tack it back on.",
    )
    board.shoe_back(
        people.farrier,
        days.at(on + timedelta(days=1), "16:20"),
        flag,
        "Same shoe, six new nails. The outside heel nail left out, the wall is thin there.",
    )


def _boots(days: Days, people: People, board: DemoBoard) -> None:
    item = board.propose(
        people.farrier,
        days.back(6, "19:15"),
        ItemContent(
            kind="home",
            therapeutic=False,
            who_does="owner",
            text="Overreach boots on both fronts whenever he is out. Check the clenches daily.",
            reason="He treads on the right fore. Two near misses on the same foot is turnout, "
            "not nails.",
        ),
    )
    board.decide(people.vet, days.back(5, "08:05"), item)


OTTER_FEET = {
    "LF": FootLevel(52.0, 49.0, 79, 52.0, heel_length_mm=34, coronet_mm=346),
    "RF": FootLevel(51.5, 48.5, 79, 52.0, heel_length_mm=34, coronet_mm=346),
    "LH": FootLevel(54.0, 51.0, 77, 54.0, coronet_mm=338),
    "RH": FootLevel(54.0, 51.0, 77, 54.0, coronet_mm=338),
}


def play_otter(days: Days, people: People) -> None:
    """Two planned days passed, and the manager says that nobody came; the groom's flag waits."""
    on = days.visits(9, last=8, gaps=(7, 8, 7))
    start = days.at(on[0], "09:00") - timedelta(days=4)
    first_due, due = days.weeks_back(3), days.weeks_back(1)
    board = horse_settle(
        people.manager,
        start,
        [
            Joining(people.farrier, "farrier"),
            Joining(people.stand_in, "farrier", stand_in=True),
            Joining(people.groom, "carer"),
        ],
        name="Otter",
        born_on=days.weeks_back(9 * 52),
        sex="gelding",
        breed="cob, 14.3 hands",
        use="school",
        footing="hard",
        turnout="group",
        interval_days=49,
        handling="Leans. Tell him off.",
    )
    weigh(board, people.manager, start + timedelta(days=1), 462)
    deeds = {
        3: Deed(by=people.stand_in, words="Covered for Gus. Quarters rolled.", feet=("LF", "RF")),
        6: Deed(by=people.stand_in, feet=("LF", "RF")),
        -1: Deed(
            words="Wearing a bit quick on the yard. Back in five weeks.",
            wear={"LF": "squared", "RF": "toe"},
        ),
    }
    VisitBook(board, days, on, OTTER_FEET, "otter-7", people.farrier, first_due, deeds).rest()
    board.read_by_all(days.at(days.weeks_back(4)))
    board.judge(days.at(first_due + timedelta(days=4), "06:00"))
    visit_plan(
        access=board.access(people.manager),
        on=due,
        words="Gus, could you come this week instead?",
        now=days.at(first_due + timedelta(days=5), "12:30"),
    )
    board.judge(days.at(due + timedelta(days=4), "06:00"))
    raised = days.back(9, "17:30")
    board.flag(
        people.groom,
        raised,
        ["sore_stones"],
        ["LF", "RF"],
        "Picking his way over the stones by the gate. Fine on the school.",
        (raised - timedelta(days=5)).date(),
    )
    for visit in Visit.objects.filter(horse=board.horse).asked_about(days.now.date()):
        manager = board.access(people.manager)
        visit_deny(access=manager, public_id=visit.public_id, now=days.back(4, "12:05"))
    board.note(
        people.manager,
        days.back(4, "12:10"),
        "Has anybody heard from Gus? Nobody came twice now, and I could not get him on the phone. Tessa, could you take Otter? Any day suits.",
    )
    board.judge(raised + timedelta(days=7, hours=1))
