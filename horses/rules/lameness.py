"""Lameness that must not wait: a high grade, and a rise of two grades on one scale.

Grades are never converted between scales: each scale stands for itself, and its newest day counts
until there is a later one. Nought is the same on both: sound when seen.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from caseboard.lib.words import days_ago
from horses.domain.wording import day_words
from horses.models import Horse, Soundness
from horses.rules.engine import Finding, rule

# From here on it is an alert at first sight. AAEP 4 is lame at the walk, 5 hardly bears weight
# (AAEP scale); 7 of 10: house default.
SEVERE = {Soundness.Scale.AAEP: 4, Soundness.Scale.TEN: 7}
# Observers differ by about one grade, so one grade is no rise (Keegan, Equine Vet J 2010;42:92-97;
# Arkell, Vet Rec 2006;159:346-349, both as quoted). Two: house default.
RISE = 2
# A rise counts from the lowest grade of so long before. House default.
LOOKED_BACK = timedelta(days=182)
SCALE_ENDS = {Soundness.Scale.AAEP: "AAEP, 0 to 5", Soundness.Scale.TEN: "0 to 10"}


@rule
def lameness(horse: Horse, now: datetime) -> Iterator[Finding]:
    rows = list(Soundness.objects.in_force().filter(horse=horse).order_by("seen_on", "pk"))
    for scale in SEVERE:
        of_scale = [row for row in rows if row.scale == scale]
        if of_scale and not _sound_since(rows, of_scale[-1]):
            yield from _of_scale(of_scale, now)


def _sound_since(rows: Sequence[Soundness], last: Soundness) -> bool:
    """Whether a later day found no lameness at all, whatever the scale."""
    later = [row for row in rows if row.seen_on > last.seen_on]
    return bool(later) and all(row.grade == 0 for row in later if row.seen_on == later[-1].seen_on)


def _of_scale(rows: Sequence[Soundness], now: datetime) -> Iterator[Finding]:
    """One finding of one scale: the worst grade of its newest day."""
    newest = rows[-1].seen_on
    worst = max((row for row in rows if row.seen_on == newest), key=lambda row: row.grade)
    before = [row for row in rows if row.seen_on < newest]
    recent = [row for row in before if newest - row.seen_on <= LOOKED_BACK] or before[-1:]
    lowest = min(recent, key=lambda row: (row.grade, -row.pk), default=None)
    rose = lowest is not None and worst.grade - lowest.grade >= RISE
    severe = worst.grade >= SEVERE[Soundness.Scale(worst.scale)]
    if not severe and not rose:
        return
    grown = f" It was {lowest.grade} on {day_words(lowest.seen_on)}." if rose and lowest else ""
    yield Finding(
        rule="lameness.severe" if severe else "lameness.rise",
        subject=worst.scale,
        title=f"Lameness grade {worst.grade} ({SCALE_ENDS[Soundness.Scale(worst.scale)]})"
        + ("" if severe else f", up from {lowest.grade if lowest else ''}"),
        sentence=f"{_seen(worst, now)}{grown} "
        "Ask the vet before the feet are touched or the horse works; not bearing weight: call now.",
        evidence={
            "scale": SCALE_ENDS[Soundness.Scale(worst.scale)],
            "grade": worst.grade,
            "seen_on": str(worst.seen_on),
            "surface": worst.surface,
            "painkiller": worst.painkiller,
            **({"grade_before": lowest.grade, "before_on": str(lowest.seen_on)} if lowest else {}),
        },
        true_since=datetime.combine(worst.seen_on, datetime.min.time(), tzinfo=now.tzinfo),
        severity=float(worst.grade),
        danger=True,
    )


def _seen(grade: Soundness, now: datetime) -> str:
    """ "Graded 4 (AAEP, 0 to 5) on 2 Nov 2026, hard circle, 12 days ago." """
    where = f", {grade.surface}" if grade.surface else ""
    ago = f", {days_ago(grade.seen_on, now.date())}" if grade.seen_on < now.date() else ""
    ends = SCALE_ENDS[Soundness.Scale(grade.scale)]
    return f"Graded {grade.grade} ({ends}) on {day_words(grade.seen_on)}{where}{ago}."
