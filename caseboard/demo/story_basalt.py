"""An upright foot: one of the pair grew steeper, its axis broken forward, and is being managed."""

from datetime import timedelta

from caseboard.demo.boards import DemoBoard, aaep
from caseboard.demo.days import Days
from caseboard.demo.herd import Joining, horse_settle, weigh
from caseboard.demo.people import People
from caseboard.demo.series import FootLevel, SeriesChange
from caseboard.demo.visits import Deed, VisitBook
from horses.models import Alert, PlanItem
from horses.services.alerts import alert_answer, alert_see
from horses.services.exams import FootFound
from horses.services.plan import ItemContent

FEET = {
    "LF": FootLevel(51.0, 48.0, 80, 51.0, shod=True, heel_length_mm=36, coronet_mm=352),
    "RF": FootLevel(
        52.5,
        50.0,
        78,
        50.0,
        shod=True,
        heel_length_mm=41,
        coronet_mm=346,
        changes=(SeriesChange(2, 11, 0.55, 0.65),),
    ),
    "LH": FootLevel(53.0, 50.0, 78, 53.5, coronet_mm=342),
    "RH": FootLevel(53.5, 50.5, 78, 53.5, coronet_mm=342),
}

# What the farrier says to each thing that the numbers raised.
ANSWERS = {
    "shape.uneven_pair": "I can see it. The right makes heel faster than the left.",
    "shape.broken_forward_axis": "Yes. I will not chase it, a little heel off each time.",
    "foot.drift": "That is the heel he grows. Watching it with Ines.",
}


def play_basalt(days: Days, people: People) -> None:
    on = days.visits(16, last=1, gaps=(6, 6, 7))
    start = days.at(on[0], "09:00") - timedelta(days=7)
    board = horse_settle(
        people.manager,
        start,
        [Joining(people.farrier, "farrier"), Joining(people.vet, "vet")],
        name="Basalt",
        born_on=days.weeks_back(6 * 52),
        sex="gelding",
        breed="cob, 15 hands",
        use="ridden",
        footing="soft",
        turnout="group",
        interval_days=42,
        handling="Young and polite. Ties up.",
    )
    weigh(board, people.manager, start + timedelta(days=1), 480)
    deeds = {
        0: Deed(words="First set of fronts. Right one a bit boxy."),
        7: Deed(words="Right fore grows more heel than the left. Took some off."),
        10: Deed(foot_words={"RF": "Heel down 3 mm, toe left alone."}),
        13: Deed(foot_words={"RF": "Heel down 2 mm. Holding where it is."}),
        -1: Deed(words="No worse than last time.", foot_words={"RF": "Heel down 2 mm."}),
    }
    book = VisitBook(
        board,
        days,
        on,
        FEET,
        "basalt-731",
        people.farrier,
        days.weeks_back(-5),
        deeds,
        judged=(9, 12),
    )
    looked = days.weeks_back(35, days=2)
    book.until(days.at(looked))
    _looked_at(days, people, board, looked_weeks=35)
    book.until(days.at(days.weeks_back(2)))
    board.read_by_all(days.at(days.weeks_back(2)))
    book.rest()


def _looked_at(days: Days, people: People, board: DemoBoard, *, looked_weeks: int) -> None:
    """The vet looks at what the numbers raised, and all three agree what to do about it."""
    day = days.weeks_back(looked_weeks, days=2)
    board.exam(
        people.vet,
        days.at(day, "15:00"),
        "Sound. Upright right fore, left one normal. Comes from how he stands at grass: right "
        "foot always behind. Not a case for cutting the heel off in one go.",
        aaep(0, "hard circle, both reins"),
        [FootFound("LF", 0, "none"), FootFound("RF", 0, "none")],
    )
    raised = Alert.objects.filter(horse=board.horse, cleared_at=None, rule__in=ANSWERS)
    for alert in raised:
        alert_see(
            access=board.access(people.vet),
            alert_id=alert.public_id,
            now=days.at(day, "15:10"),
        )
    heel, hay = _proposed(days, people, board, looked_weeks)
    for minute, alert in enumerate(raised):
        alert_answer(
            access=board.access(people.farrier),
            alert_id=alert.public_id,
            words=ANSWERS[alert.rule],
            now=days.at(day, f"19:0{minute}"),
        )
    said = (
        (people.farrier, days.at(day, "19:10")),
        (people.manager, days.at(day + timedelta(days=1), "08:00")),
    )
    for by, at in said:
        board.decide(by, at, heel)
        board.decide(by, at, hay)


def _proposed(
    days: Days, people: People, board: DemoBoard, looked_weeks: int
) -> tuple[PlanItem, PlanItem]:
    day = days.weeks_back(looked_weeks, days=2)
    heel = board.propose(
        people.vet,
        days.at(day, "15:30"),
        ItemContent(
            kind="trim",
            therapeutic=True,
            who_does="farrier",
            text="Right fore: 2 to 3 mm of heel off at each visit, no more. Leave the toe.",
            reason="Slow is safe. A big change at once pulls on the tendon at the back.",
        ),
    )
    hay = board.propose(
        people.vet,
        days.at(day, "15:35"),
        ItemContent(
            kind="home",
            therapeutic=False,
            who_does="owner",
            text="Feed hay from a net at chest height, not off the ground. Walk out on both reins.",
            reason="So that he does not stand with the right foot behind for hours.",
        ),
    )
    return heel, hay
