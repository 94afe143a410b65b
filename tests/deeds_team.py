"""The deeds on the horse and its team."""

from decimal import Decimal
from typing import Any

from django.db import transaction

from horses.access import CaseAccess
from horses.models import Sale
from horses.queries.move import move_shown
from horses.services.handover import hand_over
from horses.services.held import contact_erase, contact_show
from horses.services.horses import horse_edit, horse_set_state, weight_record
from horses.services.invitations import (
    invitation_create,
    invitation_resend,
    invitation_revoke,
)
from horses.services.sales import horse_sell, sale_undo
from horses.services.team import member_confirm
from horses.services.yard_move import asks_first_set, horse_move
from tests.deed import Deed, today
from tests.stage import Stage


def _edit(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    return horse_edit(version=access.horse.version, fields={"yard": "Upper yard"}, **shared)


def _sale_off(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    """Of a sale that the owner has begun."""
    with transaction.atomic():
        Sale.objects.create(
            horse=access.horse,
            seller=stage.cast.owner,
            email="new@example.test",
            begun_at=shared["now"],
            leave_on=today(shared),
        )
        return sale_undo(**shared)


DEEDS: tuple[Deed, ...] = (
    Deed("edit the horse", "horse.edit", "horse.edited", _edit),
    Deed(
        "pause the horse",
        "horse.pause",
        "horse.paused",
        lambda st, s, k, t: horse_set_state(state="paused", reason="Winter", **k),
        tells=True,
    ),
    Deed(
        "take the horse from its yard",
        "horse.move",
        "horse.moved",
        lambda st, s, k, t: horse_move(to_id="", seen=move_shown(s, "").mark, **k),
        tells=True,
    ),
    Deed(
        "begin the sale of the horse",
        "horse.sell",
        "horse.sale_begun",
        lambda st, s, k, t: horse_sell(
            email="new@example.test", board_ids=[], leaver_ids=[], leave_on=today(k), **k
        ),
        tells=True,
    ),
    Deed(
        "call off the sale of the horse",
        "horse.sell",
        "horse.sale_undone",
        _sale_off,
        tells=True,
    ),
    Deed(
        "be asked before somebody new of the yard comes",
        "team.yard",
        "horse.yard_asks",
        lambda st, s, k, t: asks_first_set(asks_first=True, **k),
    ),
    Deed(
        "tell an owner without an account what is kept",
        "owner.contact",
        "owner.told",
        lambda st, s, k, t: contact_show(**k),
    ),
    Deed(
        "erase what is kept of an owner without an account",
        "owner.contact",
        "owner.erased",
        lambda st, s, k, t: contact_erase(**k),
    ),
    Deed(
        "weigh the horse",
        "horse.weigh",
        "horse.weighed",
        lambda st, s, k, t: weight_record(
            weight_kg=Decimal(510 if t else 500),
            entered_value=Decimal(510 if t else 500),
            entered_unit="kg",
            method="tape",
            weighed_on=today(k),
            **k,
        ),
        keyed=True,
    ),
    Deed(
        "invite somebody",
        "team.invite",
        "team.invited",
        lambda st, s, k, t: invitation_create(email="new@example.test", role="vet", **k),
    ),
    Deed(
        "hand over to another farrier",
        "team.hand_over",
        "team.hand_over",
        lambda st, s, k, t: hand_over(
            membership_id=st.member("stand_in").public_id,
            email="new@example.test",
            board_ids=[st.cast.concern.public_id],
            leaves_now=False,
            **k,
        ),
    ),
    Deed(
        "send an invitation again",
        "team.invite",
        "team.invited",
        lambda st, s, k, t: invitation_resend(public_id=st.invitation.public_id, **k),
    ),
    Deed(
        "take an invitation back",
        "team.uninvite",
        "team.invite_revoked",
        lambda st, s, k, t: invitation_revoke(public_id=st.invitation.public_id, **k),
    ),
    Deed(
        "confirm a newcomer",
        "team.confirm",
        "team.confirmed",
        lambda st, s, k, t: member_confirm(membership_id=st.member("stand_in").public_id, **k),
        tells=True,
    ),
)
