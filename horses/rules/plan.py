"""Rules about the plan: agreement that is still missing, re-checks that come near."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.db.models import Prefetch

from caseboard.lib.spans import days_words, one_or
from horses.domain.severity import CALENDAR_WORSE_DAYS, days_sd
from horses.domain.wording import listed
from horses.models import AGREEING_ROLES, Case, Horse, PlanItem, PlanItemVersion, Role
from horses.queries.plan_state import active_roles, version_state
from horses.rules.engine import Finding, foresees, rule
from horses.rules.schedule import day_start, tomorrow
from horses.rules.unanswered_flags import SET_ALONE_WITHIN

AGREE_WITHIN = timedelta(days=7)  # house default: a week to read an item and say a word
RECHECK_NEAR = timedelta(days=7)  # house default: time to make an appointment


def _open_versions(horse: Horse) -> Iterator[tuple[Case, PlanItem, PlanItemVersion]]:
    """The newest version of each open item on the horse's open boards."""
    versions = PlanItemVersion.objects.prefetch_related("agreements").order_by("number")
    items = PlanItem.objects.filter(
        case__horse=horse, case__closed_at=None, status=PlanItem.Status.OPEN
    ).select_related("case")
    for item in items.prefetch_related("case__memberships", Prefetch("versions", versions)):
        yield item.case, item, list(item.versions.all())[-1]


@rule
def plan_unconfirmed(horse: Horse, now: datetime) -> Iterator[Finding]:
    """Items that somebody has not said a word to for a week, as one finding a board. Who declined
    has said theirs."""
    waiting: dict[Case, list[tuple[PlanItem, PlanItemVersion, list[str]]]] = {}
    for case, item, version in _open_versions(horse):
        if now < version.proposed_at + AGREE_WITHIN or version.emergency:
            continue  # what the vet set alone has a rule of its own
        held = active_roles(case)
        state = version_state(version, held)
        silent = [role for role in state.missing if state.marks[role] == "waiting"]
        silent = [role for role in silent if role != Role.OWNER or role in held]  # nobody to ask
        if silent:
            waiting.setdefault(case, []).append((item, version, silent))
    for case, found in waiting.items():
        yield _unconfirmed(case, found, now)


def _unconfirmed(
    case: Case, found: list[tuple[PlanItem, PlanItemVersion, list[str]]], now: datetime
) -> Finding:
    since = min(version.proposed_at for _, version, _ in found)
    silent = [role for role in AGREEING_ROLES if any(role in roles for _, _, roles in found)]
    numbers = listed([str(item.number) for item, _, _ in found])
    return Finding(
        rule="plan.unconfirmed",
        subject=case.public_id,
        case=case,
        title="The plan waits for an answer",
        sentence=f"Plan {one_or(len(found), 'item', 'items')} {numbers} {one_or(len(found), 'has', 'have')} waited up to "
        f"{days_words((now - since).days)} for an answer from the {listed(silent)}.",
        evidence={
            "items": [item.number for item, _, _ in found],
            "missing": [role.value for role in silent],
            "proposed_at": since.isoformat(),
        },
        true_since=since + AGREE_WITHIN,
        severity=(now - since) / timedelta(days=1),
        severity_sd=days_sd(CALENDAR_WORSE_DAYS),
    )


@rule
def recheck_near(horse: Horse, now: datetime) -> Iterator[Finding]:
    """A re-check of the plan that is due within a week, or has passed."""
    for case, item, version in _open_versions(horse):
        if item.kind != PlanItem.Kind.RECHECK or version.until_on is None:
            continue
        near = day_start(version.until_on - RECHECK_NEAR, now)
        if now < near:
            continue
        ahead = (version.until_on - now.date()).days
        when = f"in {days_words(ahead)}" if ahead > 0 else "today"
        when = f"{days_words(-ahead)} ago" if ahead < 0 else when
        yield Finding(
            rule="plan.recheck",
            subject=item.public_id,
            case=case,
            title="A re-check is due",
            sentence=f"The re-check of plan item {item.number} is set for "
            f"{version.until_on:%-d %b %Y} ({when}) and is not marked as done.",
            evidence={"plan_item": item.public_id, "until_on": str(version.until_on)},
            true_since=near,
            severity=-ahead,
            severity_sd=days_sd(CALENDAR_WORSE_DAYS),
        )


@foresees
def plan_moments(horse: Horse, now: datetime) -> Iterator[datetime]:
    for _, item, version in _open_versions(horse):
        yield version.proposed_at + AGREE_WITHIN
        if version.emergency:
            yield version.proposed_at + SET_ALONE_WITHIN
        if version.proposed_at + AGREE_WITHIN <= now:
            yield tomorrow(now)
        if item.kind == PlanItem.Kind.RECHECK and version.until_on is not None:
            near = day_start(version.until_on - RECHECK_NEAR, now)
            yield near if near > now else tomorrow(now)
