"""A gross jump that was kept: either a slip or an emergency, so measured again at once."""

from collections.abc import Iterator
from datetime import datetime

from horses.judge import Finding, judge_rule
from horses.models import Horse
from measurements.jumps import JumpSeen, jumps_standing
from measurements.models import Reading
from measurements.queries import numbers_of, trim_moment
from measurements.rules import reading_evidence
from measurements.wording import foot_quantity, full_day_words, value_words


@judge_rule
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
        rule="reading.jump",
        subject=f"{start.foot}:{start.quantity}",
        title=title,
        sentence=_words(seen, what),
        evidence={
            "foot": start.foot, "quantity": start.quantity, "size": round(seen.jump.size, 2),
            "size_sd": round(seen.jump.sd, 2),
            "readings": [reading_evidence(r) for r in (seen.earlier, start, *seen.again)],
        },
        true_since=trim_moment(start.taken_on, now),
        severity=seen.jump.size,
        severity_sd=seen.jump.sd,
        danger=True,
    )  # fmt: skip


def _words(seen: JumpSeen, what: str) -> str:
    earlier, start = seen.earlier, seen.start
    days = (start.taken_on - earlier.taken_on).days
    later = f"{days} day{'s' * (days != 1)} later" if days else "the same day"
    told = (
        f"{what}: {_value(earlier)} on {full_day_words(earlier.taken_on)}, then {_value(start)} "
        f"{later}, {full_day_words(start.taken_on)}."
    )
    if seen.again:
        last = seen.again[-1]
        on = full_day_words(last.taken_on)
        return (
            f"{told} Measured again on {on}: {_value(last)}. So it is no slip: ring the vet today."
        )
    return (
        f"{told} That is a slip or an emergency: measure again, today. Sore, hot or unwilling to "
        "move: call your vet now."
    )


def _value(reading: Reading) -> str:
    return value_words(reading.quantity, float(reading.value))
