"""How a horse comes onto the board: made by its owner, weighed, its team invited and joined."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from caseboard.demo.boards import DemoBoard, routine_board
from horses.models import Person
from horses.services.horses import horse_create, weight_record
from horses.services.invitations import invitation_accept, invitation_create, token_for

YARD = "Quillmarsh Riding School"
NIGHT_VETS = {
    "emergency_vet_name": "Saltings horse vets, night line",
    "emergency_vet_phone": "01632 960299",
}


@dataclass(frozen=True)
class Joining:
    person: Person
    role: str
    stand_in: bool = False


def horse_settle(owner: Person, at: datetime, team: Sequence[Joining], **fields: Any) -> DemoBoard:
    """A new horse of the yard with its standing case, and its team on it."""
    horse = horse_create(person=owner, fields={"yard": YARD, **NIGHT_VETS, **fields}, now=at)
    board = routine_board(horse)
    for count, joining in enumerate(team, start=1):
        join(board, owner, joining, at + timedelta(minutes=20 * count))
    return board


def join(board: DemoBoard, inviter: Person, joining: Joining, at: datetime) -> None:
    invitation = invitation_create(
        access=board.access(inviter),
        email=joining.person.email,
        role=joining.role,
        stand_in=joining.stand_in,
        now=at,
    )
    invitation_accept(
        person=joining.person,
        token=token_for(invitation.public_id),
        now=at + timedelta(minutes=10),
    )


def weigh(
    board: DemoBoard,
    by: Person,
    at: datetime,
    weight_kg: int,
    *,
    on: date | None = None,
    method: str = "tape",
) -> None:
    weight_record(
        access=board.access(by),
        weight_kg=Decimal(weight_kg),
        entered_value=Decimal(weight_kg),
        entered_unit="kg",
        method=method,
        weighed_on=on or at.date(),
        now=at,
    )
