"""Brings the alerts of one horse in line with what its rules found: raised, kept up, cleared.

Of one cause one alert is raised and the others join it; the same change by another name (slow, then
at one trim) stays the same alert. Who is told of what is decided in horses/rules/alert_told.py.

Decided 2026-11: findings of one cause are one card, one notice and one answer (`Alert.cause`). A
slow change that turns out to be at one trim stays the same row; one that goes the other way is
another.
"""

from collections.abc import Container
from datetime import datetime

from horses.domain.finding import Finding
from horses.ledger.append import history_append
from horses.models import Alert, Horse
from horses.notices.alert_over import notices_settle
from horses.rules.alert_told import boards_of, tell_again, tell_fresh

Key = tuple[str, str]  # rule and subject
SAME_CHANGE = frozenset({"foot.drift", "foot.step"})  # one change, as slow or as at one trim
KEPT_UP = (
    "rule",
    "title",
    "cause",
    "way",
    "now_sentence",
    "now_evidence",
    "now_at",
    "weight",
    "severity",
    "severity_sd",
    "danger",
)


class Lives:
    """One look at a horse's alerts. The horse is locked, so that nothing is raised twice."""

    def __init__(self, horse: Horse, now: datetime) -> None:
        self.horse, self.now = horse, now
        rows = Alert.objects.filter(horse=horse, cleared_at=None).select_related("case")
        rows = rows.order_by("pk")
        for alert in rows:
            alert.horse = horse  # read already, and locked
        self.open: dict[Key, Alert] = {(a.rule, a.subject): a for a in rows}
        self.fresh: list[Alert] = []  # to be told for the first time
        self.kept: list[tuple[Alert, bool]] = []  # with whether it became a danger
        self.any_over = False
        self.told_of = {a.matter for a in rows if a.weight == Alert.Weight.ALERT}

    def take(self, found: dict[Key, Finding]) -> None:
        """Raises what is new and keeps up the rest."""
        for key, finding in found.items():
            alert = self._same(finding, found)
            if alert is not None and alert.way and finding.way and alert.way != finding.way:
                self.told_of.discard(alert.matter)
                self._clear(alert, "it goes the other way now: see the newer alert")
                alert = None
            if alert is None:
                alert = alert_raise(self.horse, finding, self.now)
                if alert.weight == Alert.Weight.ALERT:
                    self.fresh.append(alert)
            else:
                self._keep_up(alert, finding)
            self.open[key] = alert

    def end(self, found: Container[Key], why: str, *, only: Container[str] | None = None) -> None:
        """Clears what was not found; `only`: of these rules."""
        for key, alert in list(self.open.items()):
            if key not in found and (only is None or alert.rule in only):
                self._clear(alert, why)

    def tell(self) -> None:
        if self.any_over:
            notices_settle(self.horse, self.now)
        tell_fresh(self.fresh, self.told_of, self.now)
        tell_again(self.kept, self.now)

    def _same(self, finding: Finding, found: dict[Key, Finding]) -> Alert | None:
        """The open alert that this finding is, by its own name or by the other of the same change."""
        if finding.key in self.open or finding.rule not in SAME_CHANGE:
            return self.open.get(finding.key)
        for key in [(rule, finding.subject) for rule in SAME_CHANGE]:
            if key in self.open and key not in found:
                return self.open.pop(key)
        return None

    def _keep_up(self, alert: Alert, finding: Finding) -> None:
        was_danger, was_remark = alert.danger, alert.weight == Alert.Weight.REMARK
        alert_keep_up(alert, finding, self.now)
        if alert.weight == Alert.Weight.REMARK:
            return
        if was_remark:
            self.fresh.append(alert)
        else:
            self.kept.append((alert, alert.danger and not was_danger))

    def _clear(self, alert: Alert, why: str) -> None:
        self.open.pop((alert.rule, alert.subject), None)
        alert_clear(alert, self.now, why)
        self.any_over = True


def alert_raise(horse: Horse, finding: Finding, now: datetime) -> Alert:
    return Alert.objects.create(
        horse=horse,
        case=finding.case,
        rule=finding.rule,
        subject=finding.subject,
        cause=finding.cause,
        way=finding.way,
        weight=finding.weight,
        title=finding.title,
        sentence=finding.sentence,
        evidence=finding.evidence,
        true_since=finding.true_since or now,
        raised_at=now,
        now_sentence=finding.sentence,
        now_evidence=finding.evidence,
        now_at=now,
        severity=finding.severity,
        severity_sd=finding.severity_sd,
        danger=finding.danger,
    )


def alert_keep_up(alert: Alert, finding: Finding, now: datetime) -> None:
    """Keeps today's numbers beside the first ones; a remark may grow to an alert, not shrink back."""
    grew = finding.weight == Alert.Weight.ALERT
    weight = Alert.Weight.ALERT.value if grew else alert.weight
    today = {
        "rule": finding.rule,
        "title": finding.title,
        "cause": finding.cause,
        "way": finding.way or alert.way,
        "now_sentence": finding.sentence,
        "weight": weight,
        "severity": finding.severity,
        "severity_sd": finding.severity_sd,
        "danger": finding.danger,
    }
    if all(getattr(alert, name) == value for name, value in today.items()):
        return
    for name, value in today.items():
        setattr(alert, name, value)
    alert.now_evidence, alert.now_at = finding.evidence, now
    alert.save(update_fields=KEPT_UP)


def alert_clear(alert: Alert, now: datetime, why: str) -> None:
    alert.cleared_at, alert.cleared_why = now, why
    alert.save(update_fields=["cleared_at", "cleared_why"])
    if alert.weight == Alert.Weight.ALERT:
        for case in boards_of(alert):
            history_append(
                case=case,
                actor=None,
                role="",
                verb="alert.cleared",
                subject=alert.public_id,
                after={"rule": alert.rule, "sentence": alert.sentence, "why": why},
                now=now,
            )
