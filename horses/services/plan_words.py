"""Answering in words somebody who declined a plan item or asked for a change to it."""

from datetime import datetime

from horses.access import CaseAccess
from horses.models import PlanReply
from horses.queries.plan_state import is_objected_to
from horses.services.deed import DeedRefused, deed
from horses.services.plan import item_locked, item_tell, latest_version, must_be_open


def plan_item_reply(
    *, access: CaseAccess, item_id: str, words: str, client_key: str = "", now: datetime
) -> PlanReply:
    """Words for whoever declined the newest version or asked for a change. Nothing is agreed by
    it: the one who asked is asked once more, and says their own word again."""
    with deed(access, "plan.reply", now=now, key=client_key) as act:
        item = item_locked(access, item_id)
        payload = {"case": access.case.public_id, "item": item_id, "words": words}
        if earlier := act.made_before(PlanReply, payload):
            return earlier
        must_be_open(item, field="words")
        version = latest_version(item)
        if not is_objected_to(version):
            told = "Nobody declines this version now or asks for a change to it."
            raise DeedRefused(told, field="words")
        if not words.strip():
            raise DeedRefused("Write a few words: the whole team reads them.", field="words")
        reply = act.row(
            PlanReply.objects.create(
                version=version,
                person=access.person,
                person_name=str(access.person),
                role=access.role,
                words=words,
                said_at=now,
            )
        )
        after = {"item": item.number, "version": version.number, "words": words}
        act.line("plan.item.replied", item, after=after)
        item_tell(act, "plan.item.replied", item, reply.public_id, "replied about", body=words)
        return act.made(reply)
