"""How each foot points, noted by somebody who looked; charted over time."""

from collections.abc import Mapping
from datetime import date, datetime

from django.db import transaction

from horses.access import Standing, require
from horses.ledger.append import history_append
from horses.models import StanceNote
from horses.rules.engine import judge_want
from horses.services.idempotency import once


@transaction.atomic
def stance_note(
    *,
    standing: Standing,
    seen_on: date,
    stances: Mapping[str, int],
    words: str = "",
    client_key: str = "",
    now: datetime,
) -> StanceNote:
    """One look at some feet: a row a foot and one history line. Answers the first row."""
    require(standing, "stance.note")
    if not stances:
        raise ValueError("no foot was looked at")
    payload = {
        "case": standing.case.public_id, "on": seen_on, "feet": dict(stances), "words": words,
    }  # fmt: skip

    def make() -> StanceNote:
        rows = [
            StanceNote.objects.create(
                horse=standing.horse, case=standing.case, foot=foot,
                stance=StanceNote.Stance(stance), seen_on=seen_on, words=words,
                seen_by=standing.person, seen_by_name=str(standing.person),
                seen_by_role=standing.role, recorded_at=now,
            )
            for foot, stance in stances.items()
        ]  # fmt: skip
        history_append(
            case=standing.case, actor=standing.person, role=standing.role, verb="stance.noted",
            subject=rows[0].public_id, now=now, rows=rows,
            after={
                "on": str(seen_on), "words": words,
                "feet": {row.foot: row.get_stance_display() for row in rows},
            },
        )  # fmt: skip
        judge_want(standing.horse, now=now)
        return rows[0]

    return once(standing.person, client_key, payload, now=now, make=make, model=StanceNote)
