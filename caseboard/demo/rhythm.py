"""The demo's cycle: who holds which horse, confirmed days, a vet visit, a vet's order, a foal's feet."""

from datetime import datetime, time, timedelta

from caseboard.demo.boards import DemoBoard, routine_board
from caseboard.demo.days import Days
from caseboard.demo.people import People
from horses.models import Horse, Visit
from horses.services.feeds import feed_make
from horses.services.horses import horse_edit
from horses.services.interval import IntervalWish, interval_set
from horses.services.toe_direction import stance_note
from horses.services.visit_planning import visit_confirm, visit_plan

# horse -> who holds it, and what can hurt somebody
HANDS = {
    "Basalt": ("Kit holds, 01632 960207", ""),
    "Hazel": ("Kit holds, 01632 960207", "Sits back when tied: hold, never tie."),
    "Fennel": ("Piers himself, after four", "Kicks out with the left hind when the clench bites."),
    "Marigold": ("Kit holds, 01632 960207", ""),
    "Otter": ("Tied in the aisle", "Leans, and treads on feet."),
    "Tansy": ("Two people: Kit and Dorrit", "Strikes in front when she has had enough."),
}
CONFIRMED = ("Basalt", "Marigold", "Pebble")
# How the foal's feet pointed, weeks back: left fore, right fore (inwards is negative).
TANSY_STANCES = ((27, -1, -1), (21, -1, -1), (17, -1, 0), (13, 0, 0), (5, -1, 0), (1, 0, 0))


def _lately(days: Days, minutes: int) -> datetime:
    """So many minutes ago: after everything that the stories tell."""
    return days.now - timedelta(minutes=minutes)


def play_rhythm(days: Days, people: People) -> None:
    boards = {horse.name: routine_board(horse) for horse in Horse.objects.all()}
    at = _lately(days, 50)
    for name, (held_by, danger) in HANDS.items():
        owner = people.owner if name == "Fennel" else people.manager
        access = boards[name].access(owner)
        horse_edit(
            access=access,
            version=access.horse.version,
            now=at,
            fields={"held_by": held_by, "danger": danger},
        )
    for name in ("Pebble", "Hazel"):  # the farrier is in the yard this week anyway
        visit_plan(
            access=boards[name].access(people.farrier),
            on=days.now.date() + timedelta(days=3),
            at=time(9, 30),
            words="I am with you that day anyway.",
            now=_lately(days, 48),
        )
    interval_set(
        access=boards["Tansy"].access(people.farrier),
        now=_lately(days, 46),
        wish=IntervalWish("age", boards["Tansy"].horse.interval_days, schedule="early"),
    )
    for name in CONFIRMED:
        _confirm(boards[name], people, days)
    _order(boards["Marigold"], people, days)
    _vet_visit(boards["Marigold"], people, days)
    _feet_of_a_foal(boards["Tansy"], people, days)
    feed_make(person=people.farrier, fresh=True, now=at)


def _confirm(board: DemoBoard, people: People, days: Days) -> None:
    visit = Visit.objects.planned().get(horse=board.horse, kind="farrier")
    visit_confirm(
        access=board.access(people.manager),
        public_id=visit.public_id,
        now=_lately(days, 44),
    )


def _order(board: DemoBoard, people: People, days: Days) -> None:
    interval_set(
        access=board.access(people.vet),
        now=_lately(days, 42),
        wish=IntervalWish(
            "vet", board.horse.interval_days, why="No longer than this while the heels come back."
        ),
    )


def _vet_visit(board: DemoBoard, people: People, days: Days) -> None:
    visit_plan(
        access=board.access(people.vet),
        on=days.now.date() + timedelta(days=12),
        kind="vet",
        words="Films of both fores before the next trim.",
        now=_lately(days, 40),
    )


def _feet_of_a_foal(board: DemoBoard, people: People, days: Days) -> None:
    for weeks, left, right in TANSY_STANCES:
        on = days.weeks_back(weeks)
        stance_note(
            access=board.access(people.farrier),
            seen_on=on,
            stances={"LF": left, "RF": right},
            now=_lately(days, 38),
        )
