"""Rules of the calendar: visit overdue, the stand-in offered, a growth window about to close."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any

from caseboard.lib.spans import days_words
from horses.domain.foals import windows_of
from horses.domain.severity import CALENDAR_WORSE_DAYS, days_sd
from horses.domain.trim_cycle import GRACE_DAYS, due_on, interval_on, is_over
from horses.domain.wording import foot_words, listed, sentence_case
from horses.models import Case, Horse, Membership, Role, StanceNote, Visit
from horses.queries.board import last_trimmed_on
from horses.rules.engine import Finding, rule
from horses.rules.missed_visits import DENIED_RUN, asked_visit, denied_running

INTERVAL_GRACE = timedelta(days=GRACE_DAYS)
VISITS = "visits"  # a visit that is overdue, and who else could come: one cause


def _case(horse: Horse) -> Case | None:
    return Case.objects.filter(horse=horse, kind=Case.Kind.ROUTINE).first()


def _start(day: date) -> datetime:
    return datetime.combine(day, datetime.min.time(), tzinfo=UTC)


@rule
def visit_overdue(horse: Horse, now: datetime) -> Iterator[Finding]:
    """An interval that has run out with nothing planned. A planned day that passed without a word is
    asked about on the pages (horses/queries/visit_questions.py): here it counts as if it had been."""
    today = now.date()
    ahead = Visit.objects.planned().filter(
        horse=horse, kind=Visit.Kind.FARRIER, planned_on__gte=today
    )
    if ahead.exists():
        return
    last, asked = last_trimmed_on(horse), asked_visit(horse, today)
    asked_on = asked.planned_on if asked else None
    since = max((day for day in (last, asked_on) if day), default=None)
    due = due_on(horse, since) if since else None
    if since is None or due is None or not is_over(horse, today, last, asked_on):
        return
    days = days_words(interval_on(horse, since).days)
    if asked_on is None or since == last:
        sentence = (
            f"The last trim was {days_words((today - since).days)} ago. This horse's interval is "
            f"{days}, and no visit is planned."
        )
    else:
        sentence = (
            f"A visit was planned for {asked_on:%-d %b %Y}, and nobody has said whether it took place. "
            f"Even from that day this horse's interval of {days} is over, and no visit is planned."
        )
    evidence: dict[str, Any] = {"interval_days": interval_on(horse, since).days}
    if last is not None:
        evidence["last_trim_on"] = str(last)
    if asked_on is not None:
        evidence["planned_on"] = str(asked_on)
    yield _overdue(sentence, evidence, due, horse, today)


def _overdue(
    sentence: str, evidence: dict[str, Any], since: date, horse: Horse, today: date
) -> Finding:
    return Finding(
        rule="visit.overdue",
        subject="farrier",
        case=_case(horse),
        title="Visit overdue",
        sentence=sentence,
        evidence=evidence,
        true_since=_start(since),
        cause=VISITS,
        severity=(today - since).days,
        severity_sd=days_sd(CALENDAR_WORSE_DAYS),
    )


@rule
def stand_in_offered(horse: Horse, now: datetime) -> Iterator[Finding]:
    """Two visits running that somebody said did not take place: somebody else could come."""
    denied = denied_running(horse)
    if len(denied) < DENIED_RUN:
        return
    case = _case(horse)
    members = Membership.objects.filter(
        case=case, role=Role.FARRIER, stand_in=True, left_at__isnull=True
    ).select_related("person")
    stand_ins = {member.person_id: str(member.person) for member in members}
    asked = Visit.objects.planned().filter(horse=horse, planned_for__in=stand_ins)
    if asked.exists():
        return
    days = [visit.planned_on for visit in denied if visit.planned_on]
    who = (
        f"{listed(stand_ins.values(), 'or')} could come instead: plan a day with them"
        if stand_ins
        else "the owner can invite a stand-in farrier: there is none on the team yet"
    )
    yield Finding(
        rule="visit.stand_in",
        subject="farrier",
        case=case,
        title="Ask the stand-in?",
        sentence=f"The last {len(days)} planned visits did not take place, as people on this board "
        f"say ({listed(f'{day:%-d %b %Y}' for day in reversed(days))}). {sentence_case(who)}.",
        evidence={"planned": [str(day) for day in reversed(days)]},
        true_since=_start(days[0]),
        cause=VISITS,
        severity=len(days),
    )


@rule
def growth_window_closing(horse: Horse, now: datetime) -> Iterator[Finding]:
    """A foal's foot that was last seen toeing in or out, and a joint that can soon not be acted on."""
    if horse.born_on is None:
        return
    today = now.date()
    closing = [w for w in windows_of(horse.born_on) if w.state(today) == "closing"]
    if not closing:
        return
    notes = StanceNote.objects.filter(horse=horse).order_by("seen_on", "pk")
    last = {note.foot: note for note in notes}
    turned = [note for note in last.values() if note.stance != StanceNote.Stance.STRAIGHT]
    if not turned:
        return
    feet = listed(f"the {foot_words(n.foot)} {n.get_stance_display()}" for n in turned)
    for window in closing:
        left = (window.until - today).days
        yield Finding(
            rule="young.window",
            subject=window.joint.split()[0],
            case=_case(horse),
            title=f"Ask the vet now about the {window.joint.split()[0]}",
            sentence=f"When last looked at, {feet}. The time to act on the {window.joint} ends at "
            f"{window.about}: {window.until:%-d %b %Y}, in {days_words(left)}. Ask the vet before then.",
            evidence={
                "until_on": str(window.until),
                "said_by": window.source,
                "feet": [{"foot": n.foot, "seen_on": str(n.seen_on)} for n in turned],
            },
            true_since=now,
            severity=-left,
            severity_sd=days_sd(CALENDAR_WORSE_DAYS),
        )
