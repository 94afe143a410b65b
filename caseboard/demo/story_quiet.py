"""Horses with nothing found: barefoot routine, this year's foal, and one that is resting."""

from datetime import timedelta

from caseboard.demo.boards import DemoBoard, aaep
from caseboard.demo.days import Days
from caseboard.demo.herd import Joining, horse_settle, weigh
from caseboard.demo.people import People
from caseboard.demo.series import FootLevel, SeriesChange
from caseboard.demo.visits import Deed, VisitBook
from horses.models import Horse
from horses.queries.board import next_visit
from horses.services.exams import FootFound
from horses.services.horses import horse_set_state
from horses.services.visit_planning import visit_cancel

PEBBLE_FEET = {
    "LF": FootLevel(51.5, 48.5, 73, 51.5, heel_length_mm=33, coronet_mm=312, frog_mm=(50, 66)),
    "RF": FootLevel(52.0, 49.0, 74, 52.0, heel_length_mm=33, coronet_mm=310, frog_mm=(50, 66)),
    "LH": FootLevel(53.5, 50.5, 72, 54.0, heel_length_mm=32, coronet_mm=304, frog_mm=(48, 64)),
    "RH": FootLevel(53.5, 50.5, 72, 53.5, heel_length_mm=32, coronet_mm=304, frog_mm=(48, 64)),
}


def play_pebble(days: Days, people: People) -> None:
    """Barefoot, six-weekly, no vet on the case: a horse about which there is nothing to say."""
    on = days.visits(20, last=2, gaps=(6,))
    start = days.at(on[0], "09:00") - timedelta(days=5)
    board = horse_settle(
        people.manager,
        start,
        [Joining(people.farrier, "farrier"), Joining(people.groom, "carer")],
        name="Pebble",
        born_on=days.weeks_back(14 * 52),
        sex="mare",
        breed="pony, 13.2 hands",
        use="school",
        footing="mixed",
        turnout="group",
        interval_days=42,
        handling="Good to trim. Likes her friend in sight.",
    )
    deeds = {
        0: Deed(words="First trim here. Good feet, plenty of wall."),
        4: Deed(words="Little bit of thrush in both hinds. Pick out and keep the bed dry."),
        5: Deed(words="Thrush gone."),
        9: Deed(before=False, words="In a hurry, only measured after."),
        13: Deed(words="Wearing nice and even."),
        -1: Deed(words="All good. Same again in six weeks."),
    }
    book = VisitBook(
        board, days, on, PEBBLE_FEET, "pebble-15", people.farrier, days.weeks_back(-4), deeds
    )
    weigh(board, people.manager, start + timedelta(days=1), 332)
    book.until(days.at(days.weeks_back(50, days=2)))
    weigh(board, people.manager, days.at(days.weeks_back(50, days=2)), 338)
    board.note(
        people.manager,
        days.at(days.weeks_back(50, days=2), "16:00"),
        "Weighed her again, 338. Muzzle on when the grass is up.",
    )
    book.until(days.at(days.weeks_back(5)))
    board.read_by_all(days.at(days.weeks_back(5)))
    book.rest()


_GROWING = SeriesChange(0, 8, toe_angle_deg=-0.2, heel_angle_deg=-0.2, toe_length_mm=2.3)
TANSY_FEET = {
    "LF": FootLevel(
        56.0,
        53.5,
        47,
        56.0,
        coronet_mm=212,
        frog_mm=(39, 50),
        heel_length_mm=21,
        changes=(_GROWING,),
    ),
    "RF": FootLevel(
        56.0,
        53.5,
        47,
        56.0,
        coronet_mm=212,
        frog_mm=(39, 50),
        heel_length_mm=21,
        changes=(_GROWING,),
    ),
    "LH": FootLevel(
        57.0,
        54.5,
        46,
        57.0,
        coronet_mm=206,
        frog_mm=(38, 50),
        heel_length_mm=21,
        changes=(_GROWING,),
    ),
    "RH": FootLevel(
        57.0,
        54.5,
        46,
        57.0,
        coronet_mm=206,
        frog_mm=(38, 50),
        heel_length_mm=21,
        changes=(_GROWING,),
    ),
}


def play_tansy(days: Days, people: People) -> None:
    """This year's foal: trimmed every four weeks, the angles noted, how it stands looked at."""
    born = days.weeks_back(29)
    on = days.visits(7, last=1, gaps=(4,))
    start = days.at(born, "15:00") + timedelta(days=6)
    board = horse_settle(
        people.manager,
        start,
        [
            Joining(people.farrier, "farrier"),
            Joining(people.vet, "vet"),
            Joining(people.groom, "carer"),
        ],
        name="Tansy",
        born_on=born,
        sex="filly",
        breed="cob cross",
        use="young",
        footing="soft",
        turnout="group",
        interval_days=28,
        handling="Foal slip on, one to hold, one to lift. Short and sweet.",
    )
    board.exam(
        people.vet,
        days.at(born, "10:00") + timedelta(days=12),
        "Straight in front and behind. A touch toes in on both fores, the same left and right. "
        "Nothing to do but trim level and look again.",
        None,
        [FootFound("LF", pulse=0), FootFound("RF", pulse=0)],
    )
    deeds = {
        0: Deed(words="Just a rasp over. She stood a minute at a time.", before=False),
        2: Deed(words="Toes squared, level side to side.", feet=("LF", "RF")),
        5: Deed(foot_words={"LF": "Took the long inside edge off, level now."}),
        -1: Deed(words="Standing straight. Four feet without a fuss."),
    }
    book = VisitBook(
        board, days, on, TANSY_FEET, "tansy-3", people.farrier, days.weeks_back(-3), deeds
    )
    wearing = days.weeks_back(6)
    book.until(days.at(wearing))
    weigh(board, people.manager, days.at(days.weeks_back(7)), 168)
    flag = board.flag(
        people.groom,
        days.at(wearing, "17:40"),
        ["shape"],
        ["LF"],
        "Looks to me like she wears the outside of the left fore more than the inside.",
    )
    board.answer(
        people.farrier,
        days.at(wearing, "20:05"),
        flag,
        "She does, a bit. I will take the inside down a touch next time and look at her walk.",
    )
    book.until(days.at(days.weeks_back(2)))
    board.read_by_all(days.at(days.weeks_back(2)))
    book.rest()


DUSK_FEET = {
    "LF": FootLevel(50.5, 47.0, 83, 50.5, shod=True, heel_length_mm=37, coronet_mm=358),
    "RF": FootLevel(50.5, 47.0, 83, 50.5, shod=True, heel_length_mm=37, coronet_mm=358),
    "LH": FootLevel(53.0, 49.5, 80, 53.0, coronet_mm=348),
    "RH": FootLevel(53.0, 49.5, 80, 53.0, coronet_mm=348),
}


def play_dusk(days: Days, people: People) -> None:
    """An old school horse turned away: paused, so that nothing reminds anybody."""
    on = days.visits(11, last=16, gaps=(7, 7, 8))
    start = days.at(on[0], "09:00") - timedelta(days=9)
    board = horse_settle(
        people.manager,
        start,
        [Joining(people.farrier, "farrier"), Joining(people.vet, "vet")],
        name="Dusk",
        born_on=days.weeks_back(21 * 52),
        sex="gelding",
        breed="cob, 15 hands",
        use="school",
        footing="mixed",
        turnout="group",
        interval_days=49,
    )
    weigh(board, people.manager, start + timedelta(days=1), 505)
    deeds = {
        -1: Deed(words="Shoes left on for now. Tell me when he goes out and I will pull them.")
    }
    VisitBook(
        board, days, on, DUSK_FEET, "dusk-61", people.farrier, days.weeks_back(9), deeds
    ).rest()
    board.exam(
        people.vet,
        days.at(days.weeks_back(11, days=2), "14:30"),
        "A splint, inside of the left fore, warm and sore to press. Feet are not the problem. "
        "Two to three months at grass, then look again.",
        aaep(2, "hard, straight line"),
        [FootFound("LF", 0, "none"), FootFound("RF", 0, "none")],
    )
    _turn_away(days, people, board)


def _turn_away(days: Days, people: People, board: DemoBoard) -> None:
    access = board.access(people.manager)
    at = days.at(days.weeks_back(10), "18:00")
    planned = next_visit(board.horse)
    assert planned is not None  # the last visit planned it
    visit_cancel(
        access=access,
        public_id=planned.public_id,
        now=at,
        reason="He is turned away. Gus will pull the shoes in the field.",
    )
    horse_set_state(
        access=access,
        state=Horse.State.PAUSED,
        now=at,
        reason="At grass with a splint. Back when the vet has looked at him again.",
    )
