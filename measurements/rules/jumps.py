"""A gross jump that was kept: either a slip or an emergency, so measured again at once."""

from collections.abc import Iterator
from datetime import datetime

from horses.models import Horse
from horses.rules.engine import Finding, rule
from measurements.queries.jumps import JUMP_RULE, JumpSeen, jumps_standing
from measurements.queries.numbers import numbers_of, trim_moment
from measurements.rules.numbers import cause_of, reading_evidence
from measurements.verdicts.jump_words import jump_words
from measurements.wording import foot_quantity


@rule
def gross_jumps(horse: Horse, now: datetime) -> Iterator[Finding]:
    numbers = numbers_of(horse, today=now.date())
    for seen in jumps_standing(numbers, now.date()):
        yield _finding(seen, now)


def _finding(seen: JumpSeen, now: datetime) -> Finding:
    start = seen.start
    what = foot_quantity(start.foot, start.quantity)
    what = what[0].upper() + what[1:]
    title = f"{what}: changed at once" + ("" if seen.again else ", measure again today")
    return Finding(
        rule=JUMP_RULE,
        subject=f"{start.foot}:{start.quantity}",
        title=title,
        sentence=jump_words(seen),
        evidence={
            "foot": start.foot,
            "quantity": start.quantity,
            "size": round(seen.jump.size, 2),
            "size_sd": round(seen.jump.sd, 2),
            "readings": [reading_evidence(r) for r in (seen.earlier, start, *seen.again)],
        },
        true_since=trim_moment(start.taken_on, now),
        severity=seen.jump.size,
        severity_sd=seen.jump.sd,
        danger=True,
        cause=cause_of(start.foot, start.quantity),
    )
