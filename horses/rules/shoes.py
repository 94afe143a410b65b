"""The rules about shoes: a set that is not one, a second loss, hind shoes in company, square toes."""

from collections.abc import Iterator
from datetime import date, datetime

from caseboard.lib.spans import one_or
from horses.domain.lost_shoe_advice import FRESH
from horses.domain.shoe_state import FEET, HINDS, Shoes, lost_again_words
from horses.domain.wording import day_words, foot_words, listed
from horses.models import Alert, Case, Flag, FootWork, Horse
from horses.queries.board import flag_is_open
from horses.queries.shoes import shoes_now
from horses.rules.engine import Finding, foresees, rule
from horses.rules.schedule import day_start, tomorrow

# Trade practice, no source: shoes go on in pairs, alike left and right; a horse goes barefoot, with
# the fronts, or with all four.
SETS = "A horse goes barefoot, with the fronts, or with all four shod (trade practice)."
LOST_AGAIN = 2
# The alerts of the numbers that say a foot is moving away from where it was.
MOVING = frozenset({"foot.drift", "foot.step", "band.moving", "band.outside"})


@rule
def shoes_incomplete(horse: Horse, now: datetime) -> Iterator[Finding]:
    """One or three shod feet, or a pair of which one is bare. Cleared when it is put right."""
    shoes = shoes_now(horse)
    if not shoes.is_known or shoes.is_full_set:
        return
    missing = shoes.missing
    evidence: dict[str, object] = {
        "shod": [f for f in FEET if f in shoes.shod],
        "since": str(shoes.since),
    }
    if not missing:  # both hinds and no front: a pair, but no set
        yield _remark(
            "shoes.incomplete",
            "LH-RH",
            "Shod behind only",
            horse,
            evidence,
            f"Both hind feet are shod and the front ones bare. {SETS} Is it meant so?",
        )
        return
    bare = listed(foot_words(f) for f in missing)
    yield Finding(
        rule="shoes.incomplete",
        subject="-".join(missing),
        title="The shoes are not in pairs",
        sentence=f"There are {shoes.name}, and the {bare} {one_or(len(missing), 'is', 'are')} "
        f"bare{_why(shoes, missing)}. {SETS} If it is meant so, say why in an answer.",
        evidence=evidence,
        weight="remark" if _being_seen_to(shoes, missing, now) else "alert",
        severity=len(missing),
    )


def _why(shoes: Shoes, missing: tuple[str, ...]) -> str:
    lost = [s for s in shoes.lost if s.foot in missing]
    days = sorted({s.lost_on for s in lost if s.lost_on})
    return f" (lost {listed(day_words(d) for d in days)})" if days else ""


def _being_seen_to(shoes: Shoes, missing: tuple[str, ...], now: datetime) -> bool:
    """Every bare foot has lost its shoe only just now: its flag stands on the board already."""
    fresh = {s.foot for s in shoes.lost if s.lost_on and now.date() - s.lost_on < FRESH}
    return set(missing) <= fresh


def _remark(
    rule: str, subject: str, title: str, horse: Horse, evidence: dict[str, object], sentence: str
) -> Finding:
    return Finding(
        rule=rule,
        subject=subject,
        title=title,
        sentence=sentence,
        evidence=evidence,
        weight="remark",
    )


@foresees
def shoe_moments(horse: Horse, now: datetime) -> Iterator[datetime]:
    """When a loss is fresh no more; and, with a toe newly worn square, what the numbers said since
    the last look."""
    for state in shoes_now(horse).lost:
        if state.lost_on:
            yield day_start(state.lost_on + FRESH, now)
    if _new_squared(horse):
        yield tomorrow(now)


@rule
def shoe_lost_again(horse: Horse, now: datetime) -> Iterator[Finding]:
    """The same foot lost its shoe twice between two trims."""
    for state in shoes_now(horse).feet.values():
        if state.lost_times >= LOST_AGAIN:
            yield Finding(
                rule="shoes.lost_again",
                subject=state.foot,
                title=f"Lost again: {foot_words(state.foot)}",
                sentence=f"{lost_again_words(state.foot, state.lost_times)} (Trade practice.)",
                evidence={"foot": state.foot, "times": state.lost_times},
                severity=state.lost_times,
            )


@rule
def hind_shoes_in_company(horse: Horse, now: datetime) -> Iterator[Finding]:
    """Hind shoes and turned out in a group: a caution, no alert."""
    hind = shoes_now(horse).shod & HINDS
    if hind and horse.turnout == Horse.Turnout.GROUP:
        yield _remark(
            "shoes.hind_in_group",
            "LH-RH",
            "Hind shoes in a group",
            horse,
            {"shod": sorted(hind)},
            f"{horse.name} is shod behind and turned out in a group. A kick does more harm with a "
            "shoe on: many yards ask for fronts only (trade practice). Ask before mixing.",
        )


@rule
def squared_toe(horse: Horse, now: datetime) -> Iterator[Finding]:
    """A toe worn square says nothing by itself. A new one beside an open flag, or a foot that is
    slowly changing, is worth a word to the vet (trade practice, no source)."""
    new = _new_squared(horse)
    if not new:
        return
    flags, moving = _flagged(horse), _moving(horse)
    for foot, day in new.items():
        beside = [words for feet, words in flags if not feet or foot in feet]
        beside += ["the numbers show this foot changing"] if foot in moving else []
        if beside:
            yield _remark(
                "wear.squared_toe",
                foot,
                f"Toe worn square: {foot_words(foot)}",
                horse,
                {"foot": foot, "seen_on": str(day), "beside": beside},
                f"The {foot_words(foot)} toe was found worn square on {day_words(day)}, and was "
                f"not before. By itself that is wear. Together with {listed(beside)} it is worth "
                "a word to the vet.",
            )


def _new_squared(horse: Horse) -> dict[str, date]:
    """The feet whose last two looks went from another wear to square, with the day."""
    rows = (
        FootWork.objects.in_force()
        .filter(visit__horse=horse)
        .exclude(wear="")
        .order_by("visit__kept_on", "pk")
        .values_list("foot", "wear", "visit__kept_on")
    )
    looks: dict[str, list[tuple[str, date]]] = {}
    for foot, wear, on in rows:
        if on is not None:
            looks.setdefault(foot, []).append((wear, on))
    squared = FootWork.Wear.SQUARED
    return {
        foot: seen[-1][1]
        for foot, seen in looks.items()
        if len(seen) > 1 and seen[-1][0] == squared and seen[-2][0] != squared
    }


def _flagged(horse: Horse) -> list[tuple[list[str], str]]:
    """The open flags: their feet, and how they are spoken of. On every board of the horse the
    same words, so nothing of what a flag says is told."""
    flags = Flag.objects.filter(case__in=Case.objects.filter(horse=horse, closed_at=None))
    return [
        (flag.feet, "an open flag")
        for flag in flags.prefetch_related("answers")
        if flag_is_open(flag)
    ]


def _moving(horse: Horse) -> frozenset[str]:
    open_alerts = Alert.objects.filter(horse=horse, cleared_at=None).values_list("rule", "subject")
    return frozenset(subject.split(":")[0] for rule, subject in open_alerts if rule in MOVING)
