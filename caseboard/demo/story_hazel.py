"""A slow change in one foot that nobody noticed: every visit looked fine by itself."""

from datetime import timedelta

from caseboard.demo.boards import DemoBoard, aaep, band
from caseboard.demo.days import Days
from caseboard.demo.foot_album import album
from caseboard.demo.herd import Joining, horse_settle, weigh
from caseboard.demo.people import People
from caseboard.demo.series import FootLevel, SeriesChange
from caseboard.demo.visits import Deed, VisitBook
from horses.models import Alert
from horses.services.alerts import alert_see
from horses.services.exams import FootFound

VISITS = 20
STEADY_UNTIL = 11  # the last visit at which the left fore stood as always
# The left fore began a little steeper than the right and ends a little lower: at no visit is the
# pair far apart, the heel far under the toe or the hoof far out of line with the pastern.
FEET = {
    "LF": FootLevel(
        52.8,
        49.6,
        80,
        50.5,
        shod=True,
        heel_length_mm=36,
        coronet_mm=358,
        changes=(SeriesChange(STEADY_UNTIL, VISITS, -0.55, -0.6, 0.9),),
    ),
    "RF": FootLevel(50.9, 47.7, 82, 50.5, shod=True, heel_length_mm=36, coronet_mm=358),
    "LH": FootLevel(53.5, 50.5, 80, 53.5, coronet_mm=348),
    "RH": FootLevel(53.5, 50.5, 80, 54.0, coronet_mm=348),
}


def play_hazel(days: Days, people: People) -> None:
    on = days.visits(VISITS, last=2, gaps=(7, 6, 7, 8))
    start = days.at(on[0], "09:00") - timedelta(days=6)
    board = horse_settle(
        people.manager,
        start,
        [
            Joining(people.farrier, "farrier"),
            Joining(people.stand_in, "farrier", stand_in=True),
            Joining(people.vet, "vet"),
            Joining(people.groom, "carer"),
        ],
        name="Hazel",
        born_on=days.weeks_back(11 * 52),
        sex="mare",
        breed="cob cross, 15.2 hands",
        use="school",
        footing="mixed",
        turnout="group",
        interval_days=49,
        handling="Saint. Any child can hold her.",
    )
    weigh(board, people.manager, start + timedelta(days=1), 520)
    book = VisitBook(
        board, days, on, FEET, "hazel-1242", people.farrier, days.weeks_back(-5), _deeds(people)
    )
    book.after = album(board, people.farrier)
    _a_year_ago(days, people, board, book)
    book.rest()
    board.read_by_all(days.at(days.weeks_back(2, days=2)))
    _noticed(days, people, board)


def _deeds(people: People) -> dict[int, Deed]:
    tessa = people.stand_in
    return {
        0: Deed(words="Shod in front, trimmed behind. Nice feet."),
        3: Deed(by=tessa, words="Gus away. Fronts reset.", feet=("LF", "RF")),
        6: Deed(
            slips={("RF", "toe_angle", "after"): 41.0},
            put_right="Wrote 41 in the book, it was 51. Checked with the gauge.",
        ),
        8: Deed(by=tessa, feet=("LF", "RF")),
        12: Deed(by=tessa, words="All tidy.", feet=("LF", "RF")),
        13: Deed(slips={("RF", "toe_angle", "before"): 54.5}),
        14: Deed(words="Fine. Bit more toe than I like on the left, backed it up."),
        15: Deed(by=tessa, feet=("LF", "RF"), words="Looks well."),
        17: Deed(words="Nothing to report."),
        19: Deed(
            by=tessa, words="New fronts. Looks fine to me, shoes wore level.", feet=("LF", "RF")
        ),
    }


def _a_year_ago(days: Days, people: People, board: DemoBoard, book: VisitBook) -> None:
    looked = days.weeks_back(62, days=2)
    book.until(days.at(looked))
    board.exam(
        people.vet,
        days.at(looked, "10:15"),
        "Yearly look. Level in hand and on the lunge. Good pair of front feet.",
        aaep(0, "hard circle, both reins"),
        [FootFound("LF", 0, "none"), FootFound("RF", 0, "none")],
    )
    weigh(board, people.manager, days.at(looked, "12:00"), 524)


def _noticed(days: Days, people: People, board: DemoBoard) -> None:
    """The manager says "short stride", the vet comes and sets a band, the numbers speak."""
    flagged, came = days.weeks_back(2, days=5), days.weeks_back(1, days=6)
    flag = board.flag(
        people.manager,
        days.at(flagged, "18:30"),
        ["short_stride", "stumbling"],
        ["LF"],
        "Short on the left fore on the lunge, worse on the left rein. The kids say she trips. "
        "Walks out sound.",
        days.weeks_back(5),
    )
    board.answer(
        people.farrier,
        days.at(flagged + timedelta(days=1), "07:15"),
        flag,
        "Nothing stood out to me or Tessa. Shoes on tight, no heat that I know of. If it is still "
        "there in a week I would have Ines look.",
    )
    board.exam(
        people.vet,
        days.at(came, "13:10"),
        "Hard to see in a straight line. Shorter on the left fore on the hard circle, left rein. "
        "No reaction to testers. That heel looks lower than I remember it.",
        aaep(1, "hard circle, left rein"),
        [FootFound("LF", 1, "none"), FootFound("RF", 0, "none")],
    )
    item = board.target(
        people.vet,
        days.at(came, "13:30"),
        band("LF", 48, 53, came, "Keeps the front of the hoof in line with the pastern."),
    )
    raised = days.at(came, "13:31")
    board.judge(raised)
    board.note(
        people.vet,
        days.at(came, "13:50"),
        "Have a look at the left fore line on the chart, both of you. Gus, ring me before her "
        "next set.",
    )
    for alert in Alert.objects.filter(horse=board.horse, cleared_at=None, weight="alert"):
        alert_see(
            access=board.access(people.vet),
            alert_id=alert.public_id,
            now=days.at(came, "13:52"),
        )
    board.decide(people.farrier, days.at(came + timedelta(days=1), "19:40"), item)
    board.note(
        people.manager,
        days.at(came + timedelta(days=2), "08:30"),
        "Ines, her insurance runs out at the end of next month. Do I have to tell them about this "
        "now, or when you know what it is?",
        {"owner", "vet"},
    )
