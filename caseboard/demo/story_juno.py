"""A closed concern with a good end: a nail in the foot, and four exams from 3 out of 5 to sound."""

from datetime import timedelta

from caseboard.demo.boards import DemoBoard, aaep
from caseboard.demo.days import Days
from caseboard.demo.herd import Joining, horse_settle, weigh
from caseboard.demo.people import People
from caseboard.demo.series import FootLevel
from caseboard.demo.visits import Deed, VisitBook
from horses.models import Case, PlanItem
from horses.services.cases import case_close
from horses.services.exams import FootFound
from horses.services.plan import ItemContent

NAIL_WEEKS, CLOSED_WEEKS = 58, 40
FEET = {
    "LF": FootLevel(50.5, 47.0, 82, 51.0, shod=True, heel_length_mm=36, coronet_mm=354),
    "RF": FootLevel(50.5, 47.0, 82, 50.5, shod=True, heel_length_mm=36, coronet_mm=354),
    "LH": FootLevel(53.0, 50.0, 80, 53.0, coronet_mm=344),
    "RH": FootLevel(53.0, 50.0, 80, 53.0, coronet_mm=344),
}


def play_juno(days: Days, people: People) -> None:
    on = days.visits(18, last=1, gaps=(7,))
    start = days.at(on[0], "09:00") - timedelta(days=3)
    board = horse_settle(
        people.manager,
        start,
        [Joining(people.farrier, "farrier"), Joining(people.vet, "vet")],
        name="Juno",
        born_on=days.weeks_back(15 * 52),
        sex="mare",
        breed="warmblood cross, 15.3 hands",
        use="school",
        footing="mixed",
        turnout="group",
        interval_days=49,
    )
    weigh(board, people.manager, start + timedelta(days=1), 505)
    deeds = {
        10: Deed(
            words="Plate off and on again for the vet, hole clean and dry.",
            foot_words={"RF": "Treatment plate refitted."},
            shoe_words="with treatment plate on the right fore",
        ),
        11: Deed(words="Hole is closing. Plate stays."),
        12: Deed(words="Grown over. Ordinary shoes again.", foot_words={"RF": "Plate left off."}),
        -1: Deed(words="Right fore sole looked at: solid."),
    }
    book = VisitBook(board, days, on, FEET, "juno-276", people.farrier, days.weeks_back(-6), deeds)
    book.until(days.at(days.weeks_back(NAIL_WEEKS)))
    concern = _nail(days, people, board)
    items = _plan(days, people, concern)
    _better(days, people, concern, book)
    _closed(days, people, concern, items)
    book.until(days.at(days.weeks_back(2)))
    board.read_by_all(days.at(days.weeks_back(1), "20:00"))
    book.rest()


def _nail(days: Days, people: People, board: DemoBoard) -> DemoBoard:
    """The urgent flag, what the vet said on the phone, and the first exam."""
    day = days.weeks_back(NAIL_WEEKS, days=4)
    flag = board.flag(
        people.manager,
        days.at(day, "07:35"),
        ["in_sole", "lame"],
        ["RF"],
        "Roofing nail in the right fore, beside the point of the frog. Found her on three legs at "
        "the gate.",
        day,
    )
    board.answer(
        people.manager,
        days.at(day, "07:50"),
        flag,
        "Ines on the phone: leave the nail in, do not walk her, block of wood under the foot so it "
        "goes no deeper. No painkiller until she has seen her. Here in 40 minutes.",
        phoned=True,
    )
    concern = board.open_concern(people.vet, days.at(day, "09:30"), "Nail in the right fore")
    concern.exam(
        people.vet,
        days.at(day, "09:40"),
        "Filmed with the nail in: it missed the bone and the joint by a finger. Nail out, hole "
        "opened and flushed, foot wrapped. Tetanus given.",
        aaep(3, "trot in hand"),
        [FootFound("RF", 3, "severe", "beside the point of the frog"), FootFound("LF", 0, "none")],
    )
    return concern


def _plan(days: Days, people: People, concern: DemoBoard) -> list[PlanItem]:
    day = days.weeks_back(NAIL_WEEKS, days=4)
    contents = (
        ItemContent(
            "home",
            True,
            "Box, deep clean bed. Fresh wrap every day until the hole is dry.",
            "owner",
            reason="Keep dirt out of the hole.",
        ),
        ItemContent(
            "shoe",
            True,
            "Treatment plate on the right fore until the sole has closed.",
            "farrier",
            reason="So that the hole can be dressed without pulling the shoe.",
        ),
        ItemContent(
            "work",
            True,
            "In hand ten minutes twice a day from week two. Ridden work only "
            "when sound on the hard circle.",
            "owner",
            reason="Goal: sound on the hard circle, both reins, without painkiller.",
        ),
    )
    items = []
    for minute, content in enumerate(contents):
        item = concern.propose(people.vet, days.at(day, f"11:0{minute}"), content)
        items.append(item)
    for item in items:
        concern.decide(people.manager, days.at(day, "12:00"), item)
    for item in items:
        concern.decide(people.farrier, days.at(day, "18:20"), item)
    concern.note(
        people.manager,
        days.at(day, "20:00"),
        "Ines, what will the films and the plate come to, roughly? I need to tell the bank.",
        {"owner", "vet"},
    )
    return items


def _better(days: Days, people: People, concern: DemoBoard, book: VisitBook) -> None:
    """Three more exams, each a grade better."""
    looks = (
        (
            days.weeks_back(55, days=2),
            2,
            "trot in hand",
            1,
            "mild",
            "Hole clean, no more discharge. Still lame at trot, less.",
            ("anti-inflammatory paste", days.weeks_back(55, days=-3)),
        ),
        (
            days.weeks_back(50, days=2),
            1,
            "hard circle, right rein",
            0,
            "none",
            "Dry and filling. Only just there on the right rein.",
            ("", None),
        ),
        (
            days.weeks_back(42, days=2),
            0,
            "hard circle, both reins",
            0,
            "none",
            "Sound on both reins, hard and soft. Sole closed.",
            ("", None),
        ),
    )
    for day, grade, surface, pulse, testers, words, painkiller in looks:
        book.until(days.at(day))
        concern.exam(
            people.vet,
            days.at(day, "10:20"),
            words,
            aaep(grade, surface, *painkiller),
            [FootFound("RF", pulse, testers)],
        )


def _closed(days: Days, people: People, concern: DemoBoard, items: list[PlanItem]) -> None:
    day = days.weeks_back(CLOSED_WEEKS, days=1)
    for minute, item in enumerate(items):
        concern.done(people.vet, days.at(day, f"09:0{minute}"), item)
    case_close(
        access=concern.access(people.vet),
        outcome=Case.Outcome.MET,
        now=days.at(day, "09:10"),
        words="Sound on the hard circle, no painkiller for three months, hole grown out, back in light "
        "work. The nail missed the bone and the joint. Look at that sole at each shoeing.",
    )
