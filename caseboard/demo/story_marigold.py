"""Long toes and low heels in front: a concern with two vets and a plan that is half agreed."""

from dataclasses import replace
from datetime import timedelta

from caseboard.demo.boards import DemoBoard, aaep, band
from caseboard.demo.days import Days
from caseboard.demo.herd import Joining, horse_settle, join, weigh
from caseboard.demo.people import People
from caseboard.demo.series import FootLevel, SeriesChange, Value
from caseboard.demo.visits import Deed, VisitBook, taken
from horses.models import PlanItem
from horses.services.exams import FootFound
from horses.services.plan import ItemContent, latest_version
from horses.services.visits import ItemOutcome
from measurements.services.readings import readings_record

LAST = 6  # the visit after the plan was made: the toes come back a little
FEET = {
    "LF": FootLevel(
        46.0,
        38.0,
        97,
        51.0,
        shod=True,
        heel_length_mm=31,
        coronet_mm=366,
        frog_mm=(48, 76),
        changes=(SeriesChange(LAST - 1, LAST, 0.6, 0.8, -4),),
    ),
    "RF": FootLevel(
        46.5,
        39.0,
        96,
        51.0,
        shod=True,
        heel_length_mm=32,
        coronet_mm=366,
        frog_mm=(49, 76),
        changes=(SeriesChange(LAST - 1, LAST, 1.5, 1.6, -5),),
    ),
    "LH": FootLevel(51.5, 48.0, 86, 52.0, coronet_mm=354, frog_mm=(52, 76)),
    "RH": FootLevel(51.5, 48.0, 86, 52.0, coronet_mm=354, frog_mm=(52, 76)),
}

WORK = ItemContent(
    kind="work",
    therapeutic=False,
    who_does="owner",
    text="Walk and straight lines on the level until the re-check. No jumping, no small circles.",
    reason="Circles on the hard load the inside heel.",
)
SHOES = ItemContent(
    kind="shoe",
    therapeutic=True,
    who_does="farrier",
    text="Both fronts alike: rolled toe, shoe set back, heels covered, 2 degree wedge pads.",
    reason="Ease the roll over the toe and hold up the heels.",
)
SHOES_NO_WEDGE = replace(
    SHOES,
    text="Both fronts alike: rolled toe, shoe set back, heels covered and some length behind. "
    "No wedges.",
    reason="Gus and Rolf are right: these heels are too weak to stand on a wedge.",
)
FIVE_WEEKS = ItemContent(
    kind="trim",
    therapeutic=False,
    who_does="owner",
    text="Shoe every 5 weeks until the toes are back, not every 7.",
    reason="At seven weeks the toe has run forward again and we lose what we won.",
)
FILMS = ItemContent(
    kind="recheck",
    therapeutic=False,
    who_does="vet",
    text="New films of both fronts, side on, before the next set.",
    reason="I want to see how much toe there is in front of the bone before I take more.",
)


def play_marigold(days: Days, people: People) -> None:
    on = days.visits(LAST + 1, last=2, gaps=(8, 7, 8))
    start = days.at(on[0], "09:00") - timedelta(days=5)
    board = horse_settle(
        people.manager,
        start,
        [
            Joining(people.farrier, "farrier"),
            Joining(people.vet, "vet"),
            Joining(people.groom, "carer"),
        ],
        name="Marigold",
        born_on=days.weeks_back(10 * 52),
        sex="mare",
        breed="draught cross, 16 hands",
        use="school",
        footing="mixed",
        turnout="group",
        interval_days=49,
        handling="Fidgets when the others go out. A bucket of feed helps.",
    )
    weigh(board, people.manager, start + timedelta(days=1), 545)
    deeds = {
        0: Deed(words="Came like this: long in the toe and nothing behind. It will take a year."),
        3: Deed(words="Toes back what I could. Soles are thin."),
        -1: Deed(
            words="Toes rolled, shoes set back, long at the heels. Both the same.",
            foot_words={"LF": "Took what the sole let me.", "RF": "Came back well."},
            shoe_words="wide web, rolled toe",
        ),
    }
    book = VisitBook(
        board, days, on, FEET, "marigold-141", people.farrier, days.weeks_back(-4), deeds
    )
    book.play_one()
    board.judge(days.at(on[0], "12:00"))
    while book.played < LAST:
        book.play_one()
    board.judge(days.at(on[LAST - 1], "12:00"))
    concern = _opened(days, people, board)
    items = _plan(days, people, concern)
    _second_opinion(days, people, concern, items["shoes"])
    _shod_to_plan(days, people, book, concern, items)
    for each in (board, concern):
        each.read_by_all(days.at(days.weeks_back(2, days=1), "20:00"))
    _half_agreed(days, people, concern, items)


def _opened(days: Days, people: People, board: DemoBoard) -> DemoBoard:
    day = days.weeks_back(9, days=2)
    concern = board.open_concern(people.vet, days.at(day, "10:00"), "Long toe, low heel in front")
    concern.exam(
        people.vet,
        days.at(day, "10:30"),
        "Short both fronts, worse turning on the hard. Mild to the testers across both heels. "
        "Films: thin soles, coffin bone nearly flat to the ground.",
        aaep(2, "hard circle, both reins"),
        [FootFound("LF", 1, "mild", "heels"), FootFound("RF", 1, "mild", "heels")],
    )
    films = {
        ("LF", "palmar_angle"): 1.0,
        ("RF", "palmar_angle"): 1.5,
        ("LF", "sole_depth"): 12.0,
        ("RF", "sole_depth"): 13.0,
    }
    readings_record(
        access=concern.access(people.vet),
        taken_on=day,
        readings=[
            replace(
                taken(Value(foot, quantity, "between", number), people.vet, True),
                method="radiograph",
            )
            for (foot, quantity), number in films.items()
        ],
        now=days.at(day, "11:00"),
    )
    board.judge(days.at(day, "11:01"))
    concern.note(
        people.vet,
        days.at(day, "11:20"),
        "Gus, 12 mm of sole on the left and 13 on the right. Please take nothing off the bottom in "
        "front, all of it off the toe wall. I will tell Dorrit the rest myself.",
        {"vet", "farrier"},
    )
    return concern


def _plan(days: Days, people: People, concern: DemoBoard) -> dict[str, PlanItem]:
    """What the vet put on the plan, and the first words on it."""
    day = days.weeks_back(9, days=3)
    why = "To bring the hoof into line with the pastern, a degree or two a visit."
    vet = people.vet
    items = {
        "left": concern.target(vet, days.at(day, "08:00"), band("LF", 49, 53, day, why)),
        "right": concern.target(vet, days.at(day, "08:03"), band("RF", 49, 53, day, why)),
        "shoes": concern.propose(vet, days.at(day, "08:10"), SHOES),
        "weeks": concern.propose(vet, days.at(day, "08:15"), FIVE_WEEKS),
        "work": concern.propose(vet, days.at(day, "08:20"), WORK),
    }
    for minute, key in enumerate(("left", "right", "weeks", "work")):
        concern.decide(people.farrier, days.at(day, f"18:0{minute}"), items[key])
    concern.decide(
        people.farrier,
        days.at(day, "18:10"),
        items["shoes"],
        "ask",
        "Not wedges. They crush heels like these. Give me the rolled toe and some length first.",
    )
    concern.decide(people.manager, days.at(day, "20:30"), items["work"])
    return items


def _second_opinion(days: Days, people: People, concern: DemoBoard, shoes: PlanItem) -> None:
    """A second vet is asked, agrees with the farrier, and the shoeing item is changed."""
    day = days.weeks_back(6, days=1)
    joining = Joining(people.second_vet, "vet")
    join(concern, people.manager, joining, days.at(day, "09:00"))
    seen = day + timedelta(days=3)
    concern.exam(
        people.second_vet,
        days.at(seen, "16:00"),
        "Same picture as Ines had: short on both reins, a bit better on the soft. I agree with the "
        "bands. I would leave out the wedges.",
        aaep(2, "hard circle, both reins"),
        [FootFound("LF", 1, "mild", "heels"), FootFound("RF", 1, "mild", "heels")],
    )
    concern.revise(people.vet, days.at(seen + timedelta(days=1), "08:30"), shoes, SHOES_NO_WEDGE)
    concern.decide(people.farrier, days.at(seen + timedelta(days=1), "12:45"), shoes)


def _shod_to_plan(
    days: Days, people: People, book: VisitBook, concern: DemoBoard, items: dict[str, PlanItem]
) -> None:
    book.board = concern
    said = {
        "left": ("partly", "A degree nearer. More next time, the sole says no for now."),
        "right": ("partly", "Nearly there."),
        "shoes": ("done", "Both fronts the same."),
    }
    book.play_one(
        [ItemOutcome(latest_version(items[key]).public_id, *words) for key, words in said.items()]
    )
    concern.judge(days.at(days.weeks_back(2), "12:00"))


def _half_agreed(
    days: Days, people: People, concern: DemoBoard, items: dict[str, PlanItem]
) -> None:
    """The last fortnight: one no with its reason, one new item, and things still to be said."""
    concern.exam(
        people.vet,
        days.at(days.weeks_back(1, days=1), "09:50"),
        "Better. Even on the soft, still a shade short on the hard circle. Keep going as we are.",
        aaep(1, "hard circle, both reins"),
        [FootFound("LF", 0, "none"), FootFound("RF", 0, "none")],
    )
    concern.decide(people.second_vet, days.at(days.weeks_back(1, days=2), "18:40"), items["left"])
    concern.decide(
        people.manager,
        days.back(6, "21:05"),
        items["weeks"],
        "decline",
        "Five weeks is ten sets a year, and there are the others to pay for. Six I can do.",
    )
    concern.propose(people.farrier, days.back(4, "18:55"), FILMS)
