"""How each foot points, noted by somebody who looked; charted over time."""

from collections.abc import Mapping
from datetime import date, datetime

from django.db import transaction

from horses.access import CaseAccess, require
from horses.ledger.append import history_append
from horses.models import StanceNote
from horses.rules.engine import evaluation_enqueue
from horses.services.idempotency import idempotent


@transaction.atomic
def stance_note(
    *,
    access: CaseAccess,
    seen_on: date,
    stances: Mapping[str, int],
    words: str = "",
    client_key: str = "",
    now: datetime,
) -> StanceNote:
    """One look at some feet: a row a foot and one history line. Answers the first row."""
    require(access, "stance.note")
    if not stances:
        raise ValueError("no foot was looked at")
    payload = {
        "case": access.case.public_id,
        "on": seen_on,
        "feet": dict(stances),
        "words": words,
    }

    def make() -> StanceNote:
        rows = [
            StanceNote.objects.create(
                horse=access.horse,
                case=access.case,
                foot=foot,
                stance=StanceNote.Stance(stance),
                seen_on=seen_on,
                words=words,
                seen_by=access.person,
                seen_by_name=str(access.person),
                seen_by_role=access.role,
                recorded_at=now,
            )
            for foot, stance in stances.items()
        ]
        history_append(
            case=access.case,
            actor=access.person,
            role=access.role,
            verb="stance.noted",
            subject=rows[0].public_id,
            now=now,
            rows=rows,
            after={
                "on": str(seen_on),
                "words": words,
                "feet": {row.foot: row.get_stance_display() for row in rows},
            },
        )
        evaluation_enqueue(access.horse, now=now)
        return rows[0]

    return idempotent(access.person, client_key, payload, now=now, make=make, model=StanceNote)
