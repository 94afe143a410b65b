"""The rules that read numbers, as findings for the board; each is a prompt to talk.

Decided 2026-11: the straight line may alert toward the edge of a band only. The `others` part of
tests/bench/drift.py holds it to the false alarms that a foot's angles are held to.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Q

from horses.domain.severity import half_width_sd
from horses.models import Alert, Case, Horse
from horses.rules.engine import Finding, prepares, rule
from measurements.hoof.bands import Place
from measurements.hoof.drift.priors import DRIFT_QUANTITIES
from measurements.hoof.feet import Foot
from measurements.hoof.shape_finding import (
    DANGERS,
    ShapeFinding,
    ShapeRule,
    shape_weight,
)
from measurements.hoof.shape_sentences import SHAPE_TITLES, sentence
from measurements.models import Target
from measurements.queries.films import old_film_words
from measurements.queries.numbers import Numbers, numbers_of, trim_moment
from measurements.queries.reading_values import ReadingValue
from measurements.rules.shapes import ShapeSeen, shapes_seen
from measurements.verdicts.bands import (
    BandLook,
    Moving,
    band_edges,
    band_look,
    moving_toward_edge,
    moving_words,
    outside_words,
)
from measurements.verdicts.judge import foot_judge, foot_prepare
from measurements.verdicts.words import doubtful_words, finding_of, title_words, verdict_words
from measurements.wording import foot_quantity, full_day_words

ANGLES = "angles"
OF_QUANTITY = {
    # The hoof's angle against the pastern's: of one cause with the slow change of the foot's angles.
    ShapeRule.BROKEN_BACK_AXIS: ANGLES,
    ShapeRule.BROKEN_FORWARD_AXIS: ANGLES,
    ShapeRule.NEGATIVE_PALMAR_ANGLE: "palmar_angle",
    ShapeRule.STEEP_PALMAR_ANGLE: "palmar_angle",
    ShapeRule.THIN_SOLE: "sole_depth",
}
# A shape that people were told of within this time is not news when it shows again. House default.
TOLD_FOR = timedelta(days=365)


@prepares
def limits_kept(horse: Horse, now: datetime) -> None:
    numbers = numbers_of(horse, today=now.date())
    for foot in Foot:
        foot_prepare(numbers, foot.value, now=now)


@rule
def numbers_rules(horse: Horse, now: datetime) -> Iterator[Finding]:
    """All rules on the horse's numbers, which are read once."""
    numbers = numbers_of(horse, today=now.date())
    if not numbers.readings:
        return
    for targets in numbers.targets.values():
        for target in targets:
            yield from _band_findings(numbers, target, now)
    for foot in Foot:
        yield from _drift_findings(numbers, foot.value, now)
    told = _told_before(horse, now)
    for seen in shapes_seen(numbers):
        yield _shape_finding(seen, told.get((f"shape.{seen.finding.rule}", seen.subject)), now)


def reading_evidence(reading: ReadingValue) -> dict[str, Any]:
    return {
        "reading": reading.public_id,
        "foot": reading.foot,
        "quantity": reading.quantity,
        "value": float(reading.value),
        "taken_on": str(reading.taken_on),
        "method": reading.method,
        "trim_state": reading.trim_state,
        "taken_by": reading.taken_by_name,
    }


def _case_of(target: Target) -> Case | None:
    """A band belongs to the board whose plan holds it."""
    return target.plan_version.item.case if target.plan_version else None


def _capital(target: Target) -> str:
    words = foot_quantity(target.foot, target.quantity)
    return words[0].upper() + words[1:]


def _subject(target: Target) -> str:
    return f"{target.foot}:{target.quantity}:{target.moment}"


def _edges(target: Target) -> dict[str, float]:
    """The edges that there are."""
    edges = zip(("band_low", "band_high"), band_edges(target), strict=True)
    return {name: edge for name, edge in edges if edge is not None}


def _band_findings(numbers: Numbers, target: Target, now: datetime) -> Iterator[Finding]:
    look = band_look(numbers, target)
    outside = look is not None and look.position.place is not Place.INSIDE
    if look is not None and outside:
        yield _outside(look, now)
    if target.quantity in DRIFT_QUANTITIES:
        return  # judged with the drift method, which says when a band is left
    if look is None or look.position.place is not Place.OUTSIDE:
        moving = moving_toward_edge(numbers, target)
        if moving is not None:
            yield _moving(moving, now)


def _outside(look: BandLook, now: datetime) -> Finding:
    surely = look.position.place is Place.OUTSIDE
    # A reading older than the band is why the band was set: it needs nobody's attention again.
    weight = "alert" if surely and look.is_newer_than_band else "remark"
    return Finding(
        rule="band.outside",
        subject=_subject(look.target),
        weight=weight,
        case=_case_of(look.target),
        title=f"{_capital(look.target)}: {'outside' if surely else 'at the edge of'} its band",
        sentence=outside_words(look),
        evidence={
            "foot": look.target.foot,
            "quantity": look.target.quantity,
            "moment": look.target.moment,
            **_edges(look.target),
            "past_edge": look.position.past,
            "side": look.position.side,
            "readings": [reading_evidence(look.reading)],
        },
        true_since=trim_moment(look.reading.taken_on, now),
        cause=cause_of(look.target.foot, look.target.quantity),
        way=look.position.side or "",
        severity=look.position.past,
        severity_sd=look.sd,
    )


def _moving(moving: Moving, now: datetime) -> Finding:
    trend, target = moving.trend, moving.target
    return Finding(
        rule="band.moving",
        subject=_subject(target),
        case=_case_of(target),
        title=f"{_capital(target)}: slow change toward the edge of its band",
        sentence=moving_words(moving, now.date()),
        evidence={
            "foot": target.foot,
            "quantity": target.quantity,
            "moment": target.moment,
            **_edges(target),
            "rate_per_visit": round(trend.rate_per_trim, 3),
            "rate_low": round(trend.rate_low, 3),
            "rate_high": round(trend.rate_high, 3),
            "level": round(trend.level, 2),
            "level_low": round(trend.level_low, 2),
            "level_high": round(trend.level_high, 2),
            "visits": len(trend.levels),
            "growth_per_56_days": round(trend.growth.mean_per_56_days, 2),
            "detectable_change": round(trend.detectable_change, 2),
            "leaves_earliest_on": str(moving.earliest_on),
            "leaves_likely_on": str(moving.likely_on),
            "leaves_latest_on": str(moving.latest_on or ""),
        },
        true_since=now,
        cause=cause_of(target.foot, target.quantity),
        way=_way(trend.rate_per_trim),
        severity=trend.level if trend.rate_per_trim > 0 else -trend.level,
        severity_sd=half_width_sd(trend.level_low, trend.level_high),
    )


def _drift_findings(numbers: Numbers, foot: str, now: datetime) -> Iterator[Finding]:
    """A slow or a sudden change of a foot's angles, found early."""
    verdict = foot_judge(numbers, foot, now=now)
    if verdict is None or verdict.state not in ("drift", "step"):
        return
    result = verdict.result
    words = verdict_words(numbers, foot, result["lead"], result, now.date())
    doubtful = doubtful_words(numbers, foot, result)
    yield Finding(
        rule=f"foot.{verdict.state}",
        subject=foot,
        title=title_words(foot, verdict.state),
        sentence=" ".join([words, *doubtful]),
        evidence={"verdict": verdict.public_id, **_verdict_evidence(result)},
        true_since=trim_moment(date.fromisoformat(result["alarm_on"]), now),
        cause=f"{foot}:{ANGLES}",
        **_how_far(result),
    )


def _how_far(result: dict[str, Any]) -> dict[str, Any]:
    """What the change of the leading angle has come to since it began. Told with the error of the
    level it has reached: where it began is the same in both when two are compared."""
    finding = finding_of(result, result["lead"])
    if finding is None or finding["change"] is None:
        return {}
    change, (_, low, high) = finding["change"][0], finding["level"]
    return {
        "way": _way(change),
        "severity": abs(change),
        "severity_sd": half_width_sd(low, high),
    }


def _way(change: float) -> str:
    return "falls" if change < 0 else "rises"


def cause_of(foot: str, quantity: str) -> str:
    """The angles of one foot move together, and are one cause; a quantity with no other is its own."""
    return f"{foot}:{ANGLES if quantity in DRIFT_QUANTITIES else quantity}"


def _verdict_evidence(result: dict[str, Any]) -> dict[str, Any]:
    """The numbers of a verdict without what is said reading by reading: the series page has it."""
    by_reading = ("weights", "doubtful", "path", "ahead")
    findings = [
        {name: value for name, value in finding.items() if name not in by_reading}
        for finding in result["findings"]
    ]
    return {**{k: v for k, v in result.items() if k != "findings"}, "findings": findings}


def _told_before(horse: Horse, now: datetime) -> dict[tuple[str, str], ShapeFinding]:
    """The shape findings that stand on the board or were told of within the last year.

    An alert is told; a remark only as the first that was surely there: what error alone could
    explain was said of nobody's foot, and what was no worse does not move the mark.
    """
    recent = Q(cleared_at=None) | Q(raised_at__gt=now - TOLD_FOR)
    rows = Alert.objects.filter(recent, horse=horse, rule__startswith="shape.")
    told: dict[tuple[str, str], ShapeFinding] = {}
    for row in rows.order_by("raised_at", "pk").prefetch_related("told"):
        finding = ShapeFinding.from_dict(row.evidence["finding"])
        if row.weight == Alert.Weight.ALERT:
            told[row.rule, row.subject] = _last_told(row, finding)
        elif finding.exceeds_error:
            told.setdefault((row.rule, row.subject), finding)
    return told


def _last_told(alert: Alert, first: ShapeFinding) -> ShapeFinding:
    """As bad as it was when the last role was told; told again, it stays the same alert."""
    known = [told for told in alert.told.all() if told.severity is not None]
    if not known:
        return first
    worst = max(known, key=lambda told: told.severity or 0.0)
    return replace(first, size=worst.severity or 0.0, size_sd=worst.severity_sd)


def _shape_cause(seen: ShapeSeen) -> str:
    """A finding of one quantity is of one cause with its band, and one of angles with their change."""
    quantity = OF_QUANTITY.get(seen.finding.rule)
    return f"{seen.subject}:{quantity}" if quantity else ""


def _shape_finding(seen: ShapeSeen, told: ShapeFinding | None, now: datetime) -> Finding:
    finding, on = seen.finding, min(reading.taken_on for reading in seen.readings)
    weight = shape_weight(finding, told, first_look=seen.first_look)
    danger = finding.rule in DANGERS
    words = sentence(finding, seen.foot_words, full_day_words(on))
    return Finding(
        rule=f"shape.{finding.rule}",
        subject=seen.subject,
        weight=weight,
        title=f"{seen.foot_words.capitalize()}: {SHAPE_TITLES[finding.rule]}",
        sentence=words + (old_film_words(on, now.date()) if danger else ""),
        cause=_shape_cause(seen),
        evidence={
            "finding": finding.to_dict(),
            "readings": [reading_evidence(reading) for reading in seen.readings],
        },
        true_since=trim_moment(on, now),
        severity=finding.size,
        severity_sd=finding.size_sd,
        danger=danger,
    )
