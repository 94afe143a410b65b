"""Answering in words somebody who declined a plan item or asked for a change to it."""

from datetime import datetime

from django.db import transaction
from django.http import Http404
from django.urls import reverse

from horses.access import TEAM_AUDIENCE, CaseAccess, require
from horses.ledger.append import history_append
from horses.models import PlanItem, PlanReply
from horses.notices.create import notify
from horses.queries.plan_state import is_objected_to
from horses.services.idempotency import idempotent
from horses.services.plan import PlanRefused, latest_version


@transaction.atomic
def plan_item_reply(
    *, access: CaseAccess, item_id: str, words: str, client_key: str = "", now: datetime
) -> PlanReply:
    """Words for whoever declined the newest version or asked for a change. Nothing is agreed by
    it: the one who asked is asked once more, and says their own word again."""
    require(access, "plan.reply")
    item = (
        PlanItem.objects.select_for_update(no_key=True)
        .filter(case=access.case, public_id=item_id)
        .first()
    )
    if item is None:
        raise Http404("no such plan item")

    def make() -> PlanReply:
        if item.status != PlanItem.Status.OPEN:
            raise PlanRefused(f"Item {item.number} is {item.get_status_display()} already.")
        version = latest_version(item)
        if not is_objected_to(version):
            raise PlanRefused("Nobody declines this version now or asks for a change to it.")
        if not words.strip():
            raise PlanRefused("Write a few words: the whole team reads them.")
        reply = PlanReply.objects.create(
            version=version,
            person=access.person,
            person_name=str(access.person),
            role=access.role,
            words=words,
            said_at=now,
        )
        history_append(
            case=access.case,
            actor=access.person,
            role=access.role,
            verb="plan.item.replied",
            subject=item.public_id,
            now=now,
            rows=[reply],
            after={"item": item.number, "version": version.number, "words": words},
        )
        notify(
            event=f"plan.item.replied:{reply.public_id}",
            case=access.case,
            verb="plan.item.replied",
            subject=f"{access.horse.name}: {access.person} replied about plan item {item.number}",
            body=words,
            path=reverse("plan_item", args=[access.case.public_id, item.public_id]),
            audience=TEAM_AUDIENCE,
            actor=access.person,
            now=now,
        )
        return reply

    payload = {"case": access.case.public_id, "item": item_id, "words": words}
    return idempotent(access.person, client_key, payload, now=now, make=make, model=PlanReply)
