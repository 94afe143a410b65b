"""The alerts of a board as its person meets them: what needs them, as one card a cause, and what is
quiet for their role meanwhile."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any

from django.db.models import Case as Choice
from django.db.models import Exists, Prefetch, Q, QuerySet, Value, When, prefetch_related_objects

from caseboard.lib.prepared import Prepared
from horses.access import CaseAccess
from horses.domain.alert_order import lead_order
from horses.domain.severity import is_worse
from horses.domain.wording import day_words
from horses.models import Alert, AlertResponse, Horse, Role
from horses.presenters.alert_words import quiet_words
from horses.queries.alert_quiet import SILENCE_RULE, hears_of, holding, is_quiet
from horses.queries.board import short_day


@dataclass(frozen=True)
class Matter:
    """The open alerts of one cause: one card. The lead gives it its title and takes the answer."""

    lead: Alert
    others: tuple[Alert, ...]
    seen: bool  # by this person at today's severity; the card is then a single line
    state: str  # why it is open although their role has answered, or how long it is quiet

    @property
    def sentences(self) -> list[str]:
        return [alert.now_sentence or alert.sentence for alert in (self.lead, *self.others)]

    @property
    def asks_stand_in(self) -> bool:
        """The stand-in can be asked for the visit."""
        return STAND_IN_RULE in self._rules

    @property
    def asks_vet_visit(self) -> bool:
        """A time to act on a joint is closing."""
        return WINDOW_RULE in self._rules

    @property
    def _rules(self) -> frozenset[str]:
        return frozenset(alert.rule for alert in (self.lead, *self.others))

    @property
    def words(self) -> list[AlertResponse]:
        """What was said of it on this board; an answer speaks for the whole matter."""
        return [*self.lead.words.all()]

    @property
    def answers(self) -> list[AlertResponse]:
        return [word for word in self.words if word.kind == AlertResponse.Kind.ANSWERED]

    @property
    def seen_by(self) -> list[AlertResponse]:
        """Once a person, however often they looked again."""
        seen = {w.person_id: w for w in self.words if w.kind == AlertResponse.Kind.SEEN}
        return [*seen.values()]


@dataclass(frozen=True)
class BoardAlerts:
    """Everything of alerts on one board."""

    open: list[Alert]  # need this person
    needs: list[Matter]  # the same as cards
    quiet: list[Matter]  # answered for their role, and still so
    remarks: list[Alert]

    @property
    def heavy(self) -> list[Alert]:
        quiet = [alert for matter in self.quiet for alert in (matter.lead, *matter.others)]
        return [*self.open, *quiet]


def board_alerts(access: CaseAccess, *, today: date) -> BoardAlerts:
    """Read with two queries. On a closed board, and of a horse out of care, nothing is asked of
    anybody."""
    rows = _rows(access, today)
    live = access.case.is_open and access.horse.state == Horse.State.ACTIVE
    told = [a for a in rows if a.weight == Alert.Weight.ALERT and a.rule != SILENCE_RULE]
    needs = [a for a in told if live and a.needs]
    return BoardAlerts(
        open=needs,
        needs=_matters(needs, access, back_words),
        quiet=_matters([a for a in told if live and not a.needs], access, still_quiet_words),
        remarks=[a for a in rows if a.weight != Alert.Weight.ALERT],
    )


def matter_with(found: BoardAlerts, alert: Alert) -> Matter | None:
    """The card of an alert; None for a remark and for a cleared alert."""
    for matter in (*found.needs, *found.quiet):
        if alert in (matter.lead, *matter.others):
            return matter
    return None


def _rows(access: CaseAccess, today: date) -> list[Any]:  # alerts with what is annotated
    """`needs`: it stands open for this person in their role; `seen`: they have marked it as seen
    as bad as it is now."""
    words = AlertResponse.objects.filter(case=access.case).select_related("person").order_by("pk")
    rows = _standing(access.role, today).rows(
        board=access.case.pk, person=access.person.pk, horse=access.horse.pk
    )
    prefetch_related_objects(rows, Prefetch("words", queryset=words))
    return sorted(rows, key=lambda a: (a.weight != Alert.Weight.ALERT, -a.raised_at.timestamp()))


@lru_cache(maxsize=16)  # the roles, today and yesterday
def _standing(role: str, today: date) -> Prepared[Alert]:
    def build(board: int, person: int, horse: int) -> QuerySet[Any]:
        for_them = {"board": board, "role": role, "hears": hears_of(role), "person": person}
        quiet = is_quiet(**for_them, today=today)
        needs = Choice(When(quiet, then=Value(False)), default=Value(True))
        looked = holding(today).filter(case=board, person=person)
        rows = Alert.objects.filter(Q(case=board) | Q(case=None), horse=horse, cleared_at=None)
        return rows.annotate(needs=needs, seen=Exists(looked))

    return Prepared(build)


# Rules whose card offers a deed of its own.
STAND_IN_RULE, WINDOW_RULE = "visit.stand_in", "young.window"

Say = Callable[[Alert, CaseAccess], str]


def _matters(alerts: Iterable[Any], access: CaseAccess, say: Say) -> list[Matter]:
    grouped: dict[str, list[Alert]] = {}
    for alert in alerts:
        grouped.setdefault(alert.matter, []).append(alert)
    return [_matter(sorted(group, key=lead_order), access, say) for group in grouped.values()]


def _matter(alerts: list[Any], access: CaseAccess, say: Say) -> Matter:
    seen = all(alert.seen for alert in alerts)
    words = next((said for alert in alerts if (said := say(alert, access))), "")
    return Matter(alerts[0], tuple(alerts[1:]), seen, words)


def _own(alert: Alert, access: CaseAccess) -> list[AlertResponse]:
    """The answers that count for this person on this board, oldest first."""
    role, me = hears_of(access.role), access.person.pk
    said = [word for word in alert.words.all() if word.kind == AlertResponse.Kind.ANSWERED]
    return [w for w in said if w.role == role and (not w.stand_in or w.person_id == me)]


def back_words(alert: Alert, access: CaseAccess) -> str:
    """Why an alert that this role has answered is open; empty when it has not answered."""
    mine = _own(alert, access)
    if not mine:
        return ""
    last = mine[-1]
    said = f"Answered by {last.person} ({last.role}) on {short_day(last.said_at)}"
    if _worse_since(alert, last):
        return f"{said}, and clearly worse since."
    if alert.danger and access.role != Role.VET:
        return f"{said}. It stays until a vet has answered too."
    return f"{said}, until {day_words(last.until_on)}." if last.until_on else f"{said}."


def still_quiet_words(alert: Alert, access: CaseAccess) -> str:
    """How long it is quiet for this role."""
    mine = _own(alert, access)
    me = access.person.pk
    seen = [w for w in alert.words.all() if w.person_id == me and w.until_on is not None]
    last = (mine or seen)[-1:]
    return quiet_words(access, mine, last[0].until_on if last else None)


def _worse_since(alert: Alert, word: AlertResponse) -> bool:
    if alert.severity is None or word.severity is None:
        return False
    return is_worse(alert.severity, alert.severity_sd, word.severity, word.severity_sd or 0.0)
