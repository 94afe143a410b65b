"""Who is told of an alert, and when again: once a role for one cause, then when it is worse than they
were last told by more than the error, and when the day their answer named has passed.

Decided 2026-11: what each role was last told is kept beside the alert (`AlertTold`), so that an
answered alert that comes back is told once. Who answered on a board that they are not on any more, or
that is closed, hears of it on the horse's boards that they are on: their answer counted there too.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.urls import reverse

from caseboard.lib.words import own_words
from horses.access import TEAM_AUDIENCE
from horses.domain.alert_order import lead_order
from horses.domain.severity import is_worse
from horses.ledger.append import history_append
from horses.models import Alert, AlertResponse, AlertTold, Case, Horse, Role
from horses.notices.create import notify
from horses.queries.alert_quiet import alert_pairs, hears_of, still_holds, worse_since

Hat = tuple[str, bool]  # a role, and whether as its stand-in
STARTS = {"alert.worse": "worse than before: ", "alert.back": "still so: "}
HATS: tuple[Hat, ...] = (*((role, False) for role in Role.values), (Role.FARRIER.value, True))


def boards_of(alert: Alert) -> list[Case]:
    if alert.case is not None:
        return [alert.case]
    return boards_of_horse(alert.horse)


def boards_of_horse(horse: Horse) -> list[Case]:
    return list(Case.objects.filter(horse=horse, closed_at=None).order_by("pk"))


@dataclass
class Seat:
    """One role on one board: what it was last told, and who of it the alert stands open for."""

    alert: Alert
    case: Case
    hat: Hat
    told: AlertTold | None
    worse: bool = False  # than they were told, or a danger by now
    back: bool = False  # the day of an answer that spoke for them has passed
    people: set[int] = field(default_factory=set)
    elsewhere: list[tuple[Case, int]] = field(
        default_factory=list
    )  # boards where they are, and who


def tell_fresh(fresh: Sequence[Alert], told_of: Collection[str], now: datetime) -> None:
    """New alerts, to everybody on their boards. Those of one cause are told as one; what joins a
    matter that people were told of already is told as its getting worse."""
    for matter, alerts in _by_matter(fresh).items():
        verb = "alert.worse" if matter in told_of else "alert.raised"
        event = _event(verb, alerts, now)
        for alert in alerts:
            for case in boards_of(alert):
                _history(alert, case, now)
                _notice([a for a in alerts if case in boards_of(a)], case, event, now)
                told_set(alert, case, HATS, now)


def tell_again(kept: Sequence[tuple[Alert, bool]], now: datetime) -> None:
    """To each role for which it got worse since they were told, or whose answer held until yesterday.
    With each alert, whether it became a danger: that all are told."""
    alerts = [alert for alert, _ in kept]
    if not alerts:
        return
    grown = {alert.pk for alert, became_danger in kept if became_danger}
    seats = _seats(alerts, grown, _lapsed(alerts, now))
    for seat in seats:
        if seat.told is None:
            told_set(seat.alert, seat.case, [seat.hat], now)  # raised by an earlier version
    stirred = [seat for seat in seats if seat.worse or seat.back]
    if not stirred:
        return
    _open_for(stirred, {seat.case.pk: seat.case for seat in seats}, now)
    for matter in _by_matter(alerts).values():
        _tell_matter(matter, stirred, now)


def _tell_matter(matter: Sequence[Alert], stirred: Sequence[Seat], now: datetime) -> None:
    """One notice a person: of what got worse, else of what is back."""
    heard: set[int] = set()
    recorded = set()
    for seat in _worse_first(matter, stirred):
        if not (seat.worse or seat.people or seat.elsewhere):
            continue
        verb = "alert.worse" if seat.worse else "alert.back"
        event = _event(verb, matter, now)
        places = [(seat.case, seat.people), *((case, {who}) for case, who in seat.elsewhere)]
        for case, people in places:
            if only := people - heard:
                _notice([seat.alert], case, event, now, only=only)
                heard |= only
        at = (seat.alert.pk, seat.case.pk)
        if seat.worse and seat.case.closed_at is None and at not in recorded:
            _history(seat.alert, seat.case, now, worse=True)
            recorded.add(at)
        told_set(seat.alert, seat.case, [seat.hat], now)


def _worse_first(matter: Sequence[Alert], stirred: Sequence[Seat]) -> list[Seat]:
    order = {alert.pk: place for place, alert in enumerate(matter)}
    seats = [seat for seat in stirred if seat.alert.pk in order]
    return sorted(seats, key=lambda seat: (not seat.worse, order[seat.alert.pk]))


def _by_matter(alerts: Iterable[Alert]) -> dict[str, list[Alert]]:
    """Dangers first, then in the order raised; forecast dates last."""
    found: dict[str, list[Alert]] = {}
    for alert in sorted(alerts, key=lead_order):
        found.setdefault(alert.matter, []).append(alert)
    return found


def _event(verb: str, matter: Sequence[Alert], now: datetime) -> str:
    """One for all that is told of a matter at one time, so that each person has one notice."""
    first = min(matter, key=lambda alert: alert.pk).public_id
    return f"{verb}:{first}" if verb == "alert.raised" else f"{verb}:{first}:{now:%y%m%d%H%M%S%f}"


def told_set(alert: Alert, case: Case, hats: Iterable[Hat], now: datetime) -> None:
    """Records that these roles were told today's severity."""
    AlertTold.objects.bulk_create(
        [
            AlertTold(
                alert=alert,
                case=case,
                role=role,
                stand_in=stand_in,
                told_at=now,
                severity=alert.severity,
                severity_sd=alert.severity_sd,
            )
            for role, stand_in in hats
        ],
        update_conflicts=True,
        unique_fields=["alert", "case", "role", "stand_in"],
        update_fields=["severity", "severity_sd", "told_at"],
    )


def hats_that_hear(role: str, *, stand_in: bool) -> list[Hat]:
    """Whom an answer of this role counts for: a stand-in's answer for themself alone."""
    if stand_in:
        return [(role, True)]
    return [(hat, is_stand_in) for hat, is_stand_in in HATS if role == hears_of(hat)]


def _seats(
    alerts: Sequence[Alert], grown: Collection[int], lapsed: Sequence[AlertResponse]
) -> list[Seat]:
    """Every role on each board of these alerts, which are of one horse; on a closed one those that
    answered there."""
    told = {(t.alert_id, t.case_id, (t.role, t.stand_in)): t for t in _told_of(alerts)}
    of_horse = boards_of_horse(alerts[0].horse)
    seats = [
        Seat(alert, case, hat, told.pop((alert.pk, case.pk, hat), None))
        for alert in alerts
        for case in ([alert.case] if alert.case else of_horse)
        for hat in HATS
    ]
    by_pk = {alert.pk: alert for alert in alerts}
    seats += [Seat(by_pk[pk], t.case, hat, t) for (pk, _, hat), t in told.items()]
    for seat in seats:
        if seat.told is not None:
            seat.worse = seat.alert.pk in grown or _worse_than_told(seat.alert, seat.told)
            seat.back = any(_spoke_for(word, seat) for word in lapsed)
    return seats


def _told_of(alerts: Sequence[Alert]) -> Iterable[AlertTold]:
    """What was told on the open boards, and what those were told who answered on a closed one."""
    same = {name: OuterRef(name) for name in ("alert", "case", "role", "stand_in")}
    answered = Exists(AlertResponse.objects.order_by().filter(**same))
    rows = AlertTold.objects.filter(alert__in=alerts).select_related("case")
    return rows.filter(Q(case__closed_at=None) | answered)


def _open_for(seats: Sequence[Seat], boards: Mapping[int, Case], now: datetime) -> None:
    """Sets on each seat for which of its people the alert is open."""
    at = {(seat.alert.pk, seat.case.pk, seat.hat): seat for seat in seats}
    alerts = {seat.alert.pk for seat in seats}
    pairs = alert_pairs(Q(pk__in=alerts), today=now.date()).filter(quiet=False)
    asked = pairs.values_list("pk", "board", "role", "stand_in", "person")
    open_at: dict[tuple[int, int], list[tuple[int, str]]] = {}
    for alert_id, board, role, stand_in, person in asked:
        open_at.setdefault((alert_id, person), []).append((board, role))
        if (seat := at.get((alert_id, board, (role, stand_in)))) is not None:
            seat.people.add(person)
    for word in _ended(alerts, now):
        seat = at.get((word.alert_id, word.case_id, (word.role, word.stand_in)))
        if seat is None or word.person_id in seat.people:
            continue
        for board, role in open_at.get((word.alert_id, word.person_id), ()):
            if _counts_for(word, role):
                seat.elsewhere.append((boards[board], word.person_id))


def _ended(alerts: Iterable[int], now: datetime) -> QuerySet[AlertResponse]:
    """The answers that keep nothing quiet any more."""
    words = AlertResponse.objects.order_by().filter(alert__in=alerts)
    return words.filter(worse_since() | ~still_holds(now.date()))


def _counts_for(word: AlertResponse, role: str) -> bool:
    """Whether it counts for its writer in this role."""
    if word.kind == AlertResponse.Kind.SEEN:
        return role == word.role == Role.CARER
    return word.role == hears_of(role)


def _worse_than_told(alert: Alert, told: AlertTold) -> bool:
    if alert.severity is None or told.severity is None:
        return False
    return is_worse(alert.severity, alert.severity_sd, told.severity, told.severity_sd)


def _lapsed(alerts: Sequence[Alert], now: datetime) -> list[AlertResponse]:
    """The answers that covered them and no longer hold, because their day has passed."""
    words = AlertResponse.objects.order_by().filter(alert__in=alerts)
    return list(words.exclude(still_holds(now.date())))


def _spoke_for(word: AlertResponse, seat: Seat) -> bool:
    """Whether it kept the seat's alert quiet for this role, which nobody has told since. Of a danger the
    vet's answer spoke for all."""
    role, stand_in = seat.hat
    assert seat.told is not None
    if word.alert_id != seat.alert.pk or word.case_id != seat.case.pk:
        return False
    if word.said_at < seat.told.told_at:
        return False
    if word.kind == AlertResponse.Kind.SEEN:
        return _counts_for(word, role)
    own = _counts_for(word, role) and (stand_in or not word.stand_in)
    return own or (seat.alert.danger and word.role == Role.VET)


def _history(alert: Alert, case: Case, now: datetime, *, worse: bool = False) -> None:
    history_append(
        case=case,
        actor=None,
        role="",
        verb="alert.worse" if worse else "alert.raised",
        subject=alert.public_id,
        after={"rule": alert.rule, "sentence": alert.now_sentence},
        now=now,
    )


def _notice(
    alerts: Sequence[Alert], case: Case, event: str, now: datetime, *, only: set[int] | None = None
) -> None:
    verb, lead = event.partition(":")[0], alerts[0]
    start = "" if only is None else STARTS[verb]  # new to them, or something they know
    notify(
        event=event,
        case=case,
        verb=verb,
        subject=lambda person: f"{lead.horse.name}: {start}{own_words(lead.title, person)}",
        body=lambda person: own_words(" ".join(alert.now_sentence for alert in alerts), person),
        path=reverse("alert", args=[case.public_id, lead.public_id]),
        audience=TEAM_AUDIENCE,
        actor=None,
        now=now,
        only=only,
    )
