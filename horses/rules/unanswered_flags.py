"""Rules about what nobody has answered: a flag, or an item that the vet set alone. The rules of the
calendar are in horses/rules/calendar.py."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.db.models import Prefetch
from django.utils import timezone

from caseboard.lib.spans import waited_words
from horses.domain.agreement import side_of
from horses.domain.severity import WAITING_WORSE_DAYS, days_sd
from horses.domain.signs import is_lost_shoe
from horses.domain.wording import listed
from horses.models import AGREEING_ROLES, Flag, FlagAnswer, Horse, PlanItem, PlanItemVersion
from horses.queries.board import flag_is_open
from horses.queries.plan_state import version_state
from horses.rules.engine import Finding, rule

# How long a flag may wait before the missing answer is itself an alert. House defaults: "now" 1 hour,
# "today" 1 day, "next visit" 7 days.
ANSWER_WITHIN = {
    "now": timedelta(hours=1),
    "today": timedelta(days=1),
    "next_visit": timedelta(days=7),
}


@rule
def flag_unanswered(horse: Horse, now: datetime) -> Iterator[Finding]:
    """A flag that nobody of another role has answered in time."""
    flags = Flag.objects.filter(case__horse=horse, case__closed_at=None)
    for flag in flags.select_related("case", "raised_by").prefetch_related(
        "answers", "case__memberships"
    ):
        due = flag.raised_at + ANSWER_WITHIN[flag.urgency]
        if now < due or not flag_is_open(flag):
            continue
        if _lost_shoe_answered(flag):
            continue
        waited = now - flag.raised_at
        answered = any(a.kind == FlagAnswer.Kind.ANSWERED for a in flag.answers.all())
        urgent = flag.urgency == Flag.Urgency.NOW
        what = (
            "has no answer from a vet yet. It does not reach the vet by itself: phone"
            if urgent
            else f"has not been answered {_nobody_else(flag)}"
        )
        yield Finding(
            rule="flag.unanswered",
            subject=flag.public_id,
            case=flag.case,
            title="A flag waits for an answer",
            sentence=f"The flag of {timezone.localtime(flag.raised_at):%-d %b %Y} by {flag.raised_by} {what} ({waited_words(waited)}).",
            evidence={
                "flag": flag.public_id,
                "urgency": flag.urgency,
                "raised_at": flag.raised_at.isoformat(),
                "answered_by_same_side": answered,
            },
            true_since=due,
            severity=waited / timedelta(days=1),
            severity_sd=days_sd(WAITING_WORSE_DAYS),
        )


# An item that the vet set alone waits this long before the missing answer is an alert. House default.
SET_ALONE_WITHIN = timedelta(days=1)


@rule
def set_alone_unanswered(horse: Horse, now: datetime) -> Iterator[Finding]:
    """An item that the vet set alone, because it could not wait, and that a role is silent about."""
    items = PlanItem.objects.filter(
        case__horse=horse,
        case__closed_at=None,
        status=PlanItem.Status.OPEN,
        versions__emergency=True,
    ).distinct()
    versions = PlanItemVersion.objects.order_by("number").prefetch_related("agreements")
    for item in items.select_related("case").prefetch_related(
        "case__memberships", Prefetch("versions", queryset=versions)
    ):
        version = list(item.versions.all())[-1]
        due = version.proposed_at + SET_ALONE_WITHIN
        if not version.emergency or now < due:
            continue
        held = [m.role for m in item.case.memberships.all() if m.left_at is None]
        marks = version_state(version, held).marks
        silent = [role for role, mark in marks.items() if mark == "waiting" and role in held]
        if silent:
            yield Finding(
                rule="plan.set_alone",
                subject=item.public_id,
                case=item.case,
                title=f"Plan item {item.number} waits for an answer",
                sentence=f"The vet set plan item {item.number} alone on "
                f"{timezone.localtime(version.proposed_at):%-d %b %Y}, because it could not wait. It "
                f"has not been answered by the {listed(silent)} yet.",
                evidence={"item": item.number, "set_at": version.proposed_at.isoformat()},
                true_since=due,
                severity=(now - version.proposed_at) / timedelta(days=1),
                severity_sd=days_sd(WAITING_WORSE_DAYS),
            )


def _nobody_else(flag: Flag) -> str:
    """ "by the farrier or vet yet": those who can answer it and are on the team."""
    mine = side_of(flag.raised_role)
    held = {m.role for m in flag.case.memberships.all() if m.left_at is None}
    others = [role for role in AGREEING_ROLES if role in held and side_of(role) != mine]
    return f"by the {listed(others, 'or')} yet" if others else "yet, and nobody else is on the team"


def _lost_shoe_answered(flag: Flag) -> bool:
    """It stays open until the shoe is seen to, but the silence ends with a word from the others."""
    mine = side_of(flag.raised_role)
    spoke = any(side_of(a.answered_role) != mine for a in flag.answers.all())
    return is_lost_shoe(flag.signs, flag.feet) and spoke
