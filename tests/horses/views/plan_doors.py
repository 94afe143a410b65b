"""The doors of a plan item, for the tests of its pages."""

from datetime import datetime
from typing import Any

from django.http import HttpResponse

from horses.models import PlanItem, PlanItemVersion
from horses.services.plan import plan_item_revise
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of


def latest(item: PlanItem) -> PlanItemVersion:
    version = item.versions.order_by("number").last()
    assert version is not None
    return version


def revise(cast: Cast, who: str, item: PlanItem, now: datetime, **more: Any) -> PlanItemVersion:
    return plan_item_revise(
        access=cast.access(getattr(cast, who)),
        item_id=item.public_id,
        seen_version=latest(item).number,
        content=build.content(**more),
        now=now,
    )


def page_of(cast: Cast, who: str, item: PlanItem) -> str:
    return text_of(Door(getattr(cast, who), cast.case).get("plan_item", item.public_id))


def decide(cast: Cast, who: str, item: PlanItem, decision: str, **fields: str) -> HttpResponse:
    sent = {"seen_hash": latest(item).content_hash, "decision": decision, **fields}
    return Door(getattr(cast, who), cast.case).post("plan_item", item.public_id, **sent)
