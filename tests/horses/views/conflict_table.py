"""The pages on which two people can save the same thing, with how the second one is told."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from horses.services.cases import case_close
from horses.services.horses import horse_edit, horse_set_state
from horses.services.plan import plan_item_revise
from horses.services.plan_end import plan_item_finish
from horses.services.visit_planning import visit_cancel, visit_plan
from measurements.services.targets import target_set
from tests import build
from tests.stage import Stage


@dataclass(frozen=True)
class Page:
    """One page that changes something."""

    name: str
    url: str
    loser: str  # whose form is the late one
    typed: dict[str, str]
    wins: Callable[[Stage, datetime], Any]  # what another person saves meanwhile
    theirs: str  # a word of it, as the page shows it
    winner: str
    ids: Callable[[Stage], tuple[str, ...]] = lambda stage: ()
    again: bool = True  # whether saving once more is possible: not when the thing has ended


def _band(stage: Stage, now: datetime) -> Any:
    return target_set(access=stage.access("vet"), band=build.band(reason="New films."), now=now)


PAGES = (
    Page(
        "move a visit that was moved",
        "visit_plan",
        "owner",
        {"quick": "day", "on": "2026-12-01", "words": "After the holidays"},
        lambda st, now: visit_plan(
            access=st.access("farrier"),
            on=now.date() + timedelta(days=20),
            words="I am away",
            now=now,
        ),
        "I am away",
        "Finn Farrier",
    ),
    Page(
        "move a visit that was cancelled",
        "visit_plan",
        "owner",
        {"quick": "day", "on": "2026-12-01", "words": "After the holidays"},
        lambda st, now: visit_cancel(
            access=st.access("farrier"), public_id=st.planned.public_id, reason="Ill", now=now
        ),
        "cancelled",
        "Finn Farrier",
    ),
    Page(
        "cancel a visit that was moved",
        "visit_cancel",
        "owner",
        {"reason": "We are away"},
        lambda st, now: visit_plan(
            access=st.access("farrier"),
            on=now.date() + timedelta(days=20),
            words="Two days later",
            now=now,
        ),
        "Two days later",
        "Finn Farrier",
        lambda st: (st.planned.public_id,),
    ),
    Page(
        "cancel a visit that was cancelled",
        "visit_cancel",
        "owner",
        {"reason": "We are away"},
        lambda st, now: visit_cancel(
            access=st.access("farrier"),
            public_id=st.planned.public_id,
            reason="The van broke down",
            now=now,
        ),
        "The van broke down",
        "Finn Farrier",
        lambda st: (st.planned.public_id,),
        again=False,
    ),
    Page(
        "cancel a visit that was kept",
        "visit_cancel",
        "owner",
        {"reason": "We are away"},
        lambda st, now: build.visit(
            st.access("farrier"),
            now,
            now.date(),
            planned_id=st.planned.public_id,
            words="Came early",
        ),
        "Came early",
        "Finn Farrier",
        lambda st: (st.planned.public_id,),
        again=False,
    ),
    Page(
        "pause a horse whose care has ended",
        "horse_state",
        "owner",
        {"happening": "pause", "words": "A cough"},
        lambda st, now: horse_set_state(
            access=st.cast.access(st.cast.stranger, st.cast.concern),
            state="ended",
            reason="Sold to the north",
            now=now,
        ),
        "Sold to the north",
        "Sten Stranger",
    ),
    Page(
        "write about a horse that was edited",
        "horse_edit",
        "owner",
        {"name": "Juniper", "interval_weeks": "7", "yard": "Upper yard"},
        lambda st, now: horse_edit(
            access=st.cast.access(st.cast.stranger, st.cast.concern),
            version=1,
            fields={"yard": "Lower yard"},
            now=now,
        ),
        "Lower yard",
        "Sten Stranger",
    ),
    Page(
        "finish an item that was changed",
        "plan_finish",
        "owner",
        {"status": "done", "reason": "He stands on sand now"},
        lambda st, now: plan_item_revise(
            access=st.access("vet"),
            item_id=st.item.public_id,
            seen_version=1,
            content=build.content("Grass only."),
            now=now,
        ),
        "Grass only.",
        "Vera Vet",
        lambda st: (st.item.public_id,),
    ),
    Page(
        "finish an item that was withdrawn",
        "plan_finish",
        "owner",
        {"status": "done", "reason": "He stands on sand now"},
        lambda st, now: plan_item_finish(
            access=st.access("vet"),
            item_id=st.item.public_id,
            status="withdrawn",
            reason="Better without",
            now=now,
        ),
        "Better without",
        "Vera Vet",
        lambda st: (st.item.public_id,),
        again=False,
    ),
    Page(
        "change an item that was changed",
        "plan_change",
        "owner",
        {"text": "Sand only.", "who_does": "owner", "reason": "No stones"},
        lambda st, now: plan_item_revise(
            access=st.access("vet"),
            item_id=st.item.public_id,
            seen_version=1,
            content=build.content("Grass only."),
            now=now,
        ),
        "Grass only.",
        "Vera Vet",
        lambda st: (st.item.public_id,),
    ),
    Page(
        "close a case that was closed",
        "case_close",
        "owner",
        {"outcome": "met", "words": "Trots sound on the hard"},
        lambda st, now: case_close(
            access=st.access("vet"), outcome="partly", words="Better, not well", now=now
        ),
        "Better, not well",
        "Vera Vet",
        again=False,
    ),
    Page(
        "set a band that was set",
        "target_new",
        "vet",
        {
            "foot": "LF",
            "quantity": "toe_angle",
            "moment": "after",
            "low": "50",
            "high": "53",
            "from_on": "2026-11-02",
            "reason": "By the axis",
        },
        lambda st, now: target_set(
            access=st.cast.access(st.cast.stranger, st.cast.concern),
            band=build.band(reason="By the new films"),
            now=now,
        ),
        "By the new films",
        "Sten Stranger",
    ),
)
IDS = [page.name for page in PAGES]
