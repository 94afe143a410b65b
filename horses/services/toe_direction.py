"""How each foot points, noted by somebody who looked; charted over time."""

from collections.abc import Mapping
from datetime import date, datetime

from horses.access import CaseAccess
from horses.models import StanceNote
from horses.services.deed import deed


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
    with deed(access, "stance.note", now=now, key=client_key) as act:
        if not stances:
            raise ValueError("no foot was looked at")
        payload = {
            "case": access.case.public_id,
            "on": seen_on,
            "feet": dict(stances),
            "words": words,
        }
        if earlier := act.made_before(StanceNote, payload):
            return earlier
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
        act.rows(rows)
        feet = {row.foot: row.get_stance_display() for row in rows}
        act.line("stance.noted", rows[0], after={"on": str(seen_on), "words": words, "feet": feet})
        act.evaluate()
        return act.made(rows[0])
