"""Runs the rules over one horse and keeps each finding's life: raised once, cleared when it ends.

A rule is a function `rule(horse, now)` that yields findings. Each app's
`rules/register.py` imports its rules; the measurements app has those that read numbers.

Decided 2026-11:
- alerts, notices and the outbox live in `horses`; `measurements` registers the rules that read
  numbers. The road not taken: a signal on every save, which misses bulk writes and hides who acts.
- a rule that fails does not silence the others. What they found is raised, nothing is cleared, and
  the job is tried again six times; then it is marked failed and reported, and the board says since
  when the numbers could not be looked at instead of "nothing found".
- what takes long runs before the horse is locked (`prepares`). The simulated limits of a series
  took a second or more, in which nobody could write on the embedded database.
"""

import logging
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from functools import cache

from django.db import transaction
from django.db.models import Q
from django.utils.module_loading import autodiscover_modules

from horses.domain.finding import Finding
from horses.jobs.outbox import NUMBERS, enqueue, job_handler, jobs_failed
from horses.models import Horse, HorseClock
from horses.rules.alert_life import Lives

__all__ = ["Finding"]  # re-exported: rules import it from where they register
logger = logging.getLogger("horses.rules.engine")


Rule = Callable[[Horse, datetime], Iterable[Finding]]
Due = Callable[[Horse, datetime], Iterable[datetime]]
_rules: list[Rule] = []
_dues: list[Due] = []
_followers: dict[str, Rule] = {}
Settle = Callable[[Horse, datetime], None]
_settlers: list[Settle] = []
Prepare = Callable[[Horse, datetime], None]
_preparers: list[Prepare] = []
# Every horse is evaluated this often, even if no rule foresaw a moment. House default.
AT_LEAST_EVERY = timedelta(days=7)


@cache
def rules_load() -> None:
    """Imports each app's `rules.register`, which registers its rules: before the first horse, because
    most commands evaluate none and need not wait for the numbers."""
    autodiscover_modules("rules.register")


class RulesFailed(Exception):
    """A rule failed; the others ran, and the job is tried again."""


def rule(rule: Rule) -> Rule:
    if rule not in _rules:
        _rules.append(rule)
    return rule


def follows(key: str) -> Callable[[Rule], Rule]:
    """Registers the rule of this name as one that looks at the alerts the others have just raised."""

    def register(rule: Rule) -> Rule:
        _followers[key] = rule
        return rule

    return register


def foresees(due: Due) -> Due:
    """Registers what foresees, for one kind of rule, the moments at which it may say something new
    without anybody saving anything: a flag that becomes unanswered, a visit overdue."""
    if due not in _dues:
        _dues.append(due)
    return due


def transition(settle: Settle) -> Settle:
    """Registers what time itself brings about, before the rules look: a day that passed."""
    if settle not in _settlers:
        _settlers.append(settle)
    return settle


def prepares(prepare: Prepare) -> Prepare:
    """Registers what takes long and is kept for the rules. It is done before the horse is locked:
    meanwhile others write, which on the embedded database nobody could."""
    if prepare not in _preparers:
        _preparers.append(prepare)
    return prepare


def evaluation_enqueue(horse: Horse, *, now: datetime) -> None:
    """Asks, in the caller's transaction, for the horse's rules to be run after the commit."""
    enqueue("horse.judge", horse.public_id, now=now, rank=NUMBERS)


@job_handler("horse.judge")
def evaluation_job(key: str, now: datetime) -> None:
    rules_load()
    horse = Horse.objects.get(public_id=key)
    _prepare(horse, now)
    try:
        all_ran = evaluate(horse, now=now)
    except Exception:
        HorseClock.objects.filter(horse=horse, failing_since=None).update(failing_since=now)
        raise
    if not all_ran:
        raise RulesFailed


def _prepare(horse: Horse, now: datetime) -> None:
    """An error here is ignored: it comes up again in the rule that needs the result, and is reported there."""
    if horse.state != Horse.State.ACTIVE:
        return
    for prepare in _preparers:
        try:
            prepare(horse, now)
        except Exception:
            logger.exception("judge.prepare_failed prepare=%s", prepare.__name__)


@transaction.atomic
def evaluate(horse: Horse, *, now: datetime) -> bool:
    """Runs every rule on one horse and brings its alerts in line with what they found.

    The horse row is locked, so that two workers never raise the same finding twice. A rule that
    fails does not silence the others: what they found is raised, nothing is cleared, and the
    answer is False.
    """
    rules_load()
    horse = Horse.objects.select_for_update(no_key=True).get(pk=horse.pk)
    if horse.state != Horse.State.ACTIVE:
        lives = Lives(horse, now)
        lives.end((), "the horse's care is paused or has ended")
        lives.tell()
        _clock_set(horse, None, now, all_ran=True)
        return True
    for settle in _settlers:
        settle(horse, now)
    lives = Lives(horse, now)
    found, all_ran = _run_rules(_rules, horse, now)
    lives.take(found)
    if all_ran:
        own = {alert.rule for alert in lives.open.values()} - _followers.keys()
        lives.end(found, "it is no longer so", only=own)
    followed, all_followed = _run_rules(_followers.values(), horse, now)
    lives.take(followed)
    all_ran = all_ran and all_followed
    if all_ran:
        lives.end({*found, *followed}, "it is no longer so")
    lives.tell()
    foreseen, all_foreseen = _next_moment(horse, now)
    _clock_set(horse, foreseen, now, all_ran=all_ran and all_foreseen)
    return all_ran and all_foreseen


def _next_moment(horse: Horse, now: datetime) -> tuple[datetime, bool]:
    """The first moment ahead at which a rule may speak, and whether all could be asked."""
    moments = [now + AT_LEAST_EVERY]
    all_ran = True
    for due in _dues:
        try:
            with transaction.atomic():
                moments += [moment for moment in due(horse, now) if moment > now]
        except Exception:
            logger.exception("judge.due_failed due=%s", due.__name__)
            all_ran = False
    return min(moments), all_ran


def _clock_set(horse: Horse, due_at: datetime | None, now: datetime, *, all_ran: bool) -> None:
    row, _ = HorseClock.objects.get_or_create(horse=horse)
    row.due_at = due_at if all_ran else None  # the failed work itself is tried again
    if all_ran:
        row.judged_at, row.failing_since = now, None
    else:
        row.failing_since = row.failing_since or now
    row.save()


def _run_rules(
    rules: Iterable[Rule], horse: Horse, now: datetime
) -> tuple[dict[tuple[str, str], Finding], bool]:
    """What these rules found, by rule and subject, and whether every one of them ran."""
    found: dict[tuple[str, str], Finding] = {}
    all_ran = True
    for rule in rules:
        try:
            with transaction.atomic():
                found.update({f.key: f for f in rule(horse, now)})
        except Exception:
            logger.exception("judge.rule_failed rule=%s", rule.__name__)
            all_ran = False
    return found, all_ran


def failing_since(horse: Horse) -> datetime | None:
    """Since when the rules do not run through for this horse; None when they do."""
    clock = getattr(horse, "clock", None)  # none yet for a horse that was never evaluated
    return clock.failing_since if clock else None


def evaluate_due(*, now: datetime, limit: int = 1000) -> int:
    """Asks for every horse whose moment has come to be judged; reads those rows only.

    The moment is taken off with the same stroke: the look sets the next one, and a look that fails
    again and again is set aside with its work instead of being asked for anew each minute.
    """
    due = HorseClock.objects.filter(due_at__lte=now).order_by("due_at")
    rows = list(due.values_list("horse_id", "horse__public_id", "due_at")[:limit])
    for horse_id, public_id, due_at in rows:
        with transaction.atomic():
            mine = HorseClock.objects.filter(horse_id=horse_id, due_at=due_at).update(due_at=None)
            if mine:
                enqueue("horse.judge", public_id, now=now, rank=NUMBERS)
    return len(rows)


def evaluate_forgotten(*, now: datetime) -> int:
    """The net below the sweep: horses in care that nobody has looked at for longer than they
    should, whatever the reason, those whose look was set aside among them."""
    long_ago = now - AT_LEAST_EVERY - timedelta(days=1)
    in_care = Horse.objects.filter(state=Horse.State.ACTIVE)
    forgotten = in_care.filter(Q(clock__judged_at=None) | Q(clock__judged_at__lt=long_ago))
    aside = jobs_failed().filter(kind="horse.judge").values("key")
    keys = {*forgotten.values_list("public_id", flat=True)}
    keys |= {*in_care.filter(public_id__in=aside).values_list("public_id", flat=True)}
    for key in sorted(keys):
        enqueue("horse.judge", key, now=now, rank=NUMBERS)
    return len(keys)
