"""Boards on which a visit is written up: the usual ones, and those that ask more of its form."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from horses.models import Case, Role
from horses.services.horses import horse_create
from horses.services.plan import latest_version, plan_item_decide
from horses.services.visit_planning import visit_plan
from tests import build
from tests.cast import Cast, join

FEET = ("LF", "RF", "LH", "RH")
DONE = ("Roll the left fore toe back, 5 mm.", "Set the hind shoes back a little.")
ITEMS = (*DONE, "Leave the right hind heel long.", "Show the vet the white line.")
WIDE = "Wolkenreiterin von der Grossen Rossweide"


@dataclass(frozen=True)
class Board:
    """`shoe`: what the feet wore at the last visit, "" for barefoot, None where none is known."""

    name: str
    shoe: str | None = "new"
    booked: bool = False  # for today
    items: tuple[str, ...] = ()
    agreed: bool = True
    band: bool = False  # the vet asks for the heel angle of both fores
    horse: str = "Bracken"


BOARDS = (
    Board("shod"),
    Board("barefoot", shoe=""),
    Board("usual: shod, booked, two plan items", booked=True, items=DONE),
    Board("a third quantity that the vet asks for", booked=True, band=True),
    Board("a wide name", horse=WIDE, booked=True, items=DONE),
    Board("four plan items that nobody has answered", booked=True, items=ITEMS, agreed=False),
    Board("nothing known yet", shoe=None),
)


def visit_board(board: Board, cast: Cast, now: datetime) -> Case:
    """The standing care of a horse of its own, seven weeks after its last visit."""
    at = now - timedelta(days=49)
    horse = horse_create(person=cast.owner, fields={"name": board.horse}, now=at)
    case = Case.objects.get(horse=horse)
    join(case, cast.farrier, Role.FARRIER, at)
    join(case, cast.vet, Role.VET, at)
    farrier, vet = cast.access(cast.farrier, case), cast.access(cast.vet, case)
    if board.shoe is not None:
        work = [work_on(foot, board.shoe) for foot in FEET]
        build.visit(farrier, at, at.date(), work=work)
        shoeing = "shod" if board.shoe else "barefoot"
        quantities = {"toe_angle": 51.5, "toe_length": 82}
        if board.band:
            quantities["heel_angle"] = 45
        for foot in FEET:
            for quantity, value in quantities.items():
                build.reading(farrier, at, foot, quantity, value, at.date(), shoeing=shoeing)
    asked = ("LF", "RF") if board.band else ()
    heel = {"quantity": "heel_angle", "low": Decimal(45), "high": Decimal(50)}
    set_by_vet = [build.target(vet, now, foot=foot, **heel).plan_version for foot in asked]
    items = [version.item for version in set_by_vet if version]
    said = {"kind": "trim", "who_does": "farrier"}
    items += [build.plan_item(vet, now, text=text, **said) for text in board.items]
    for item in items:
        for access in (farrier, cast.access(cast.owner, case)) if board.agreed else ():
            seen = latest_version(item).content_hash
            plan_item_decide(
                access=access, item_id=item.public_id, seen_hash=seen, decision="agree", now=now
            )
    if board.booked:
        visit_plan(access=farrier, on=now.date(), now=now)
    return case


def work_on(foot: str, shoe: str) -> build.WorkDone:
    """A trim, and a shoe with all that is said of one; "" leaves the foot bare."""
    if not shoe:
        return build.WorkDone(foot=foot, trimmed=True, shoeing_left="barefoot")
    return build.WorkDone(
        foot=foot,
        trimmed=True,
        shoe=shoe,
        kind="fullered",
        material="steel",
        size="5",
        nails=7,
        clips="toe",
        wear="even",
        shoeing_left="shod",
    )
