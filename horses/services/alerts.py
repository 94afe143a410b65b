"""What people say to an alert. They do not clear it: the numbers do."""

from datetime import date, datetime

from django.db.models import Q
from django.http import Http404
from django.urls import reverse

from horses.access import CaseAccess
from horses.models import Alert, AlertResponse, Case, Notice, Role
from horses.queries.alert_quiet import no_worse, quiet_until, still_holds
from horses.rules.alert_told import hats_that_hear, told_set
from horses.services.deed import deed
from horses.services.visit_planning import horse_lock


def alert_get(access: CaseAccess, alert_id: str) -> Alert:
    alert = Alert.objects.filter(
        Q(case=access.case) | Q(case=None), horse=access.horse, public_id=alert_id
    ).first()
    if alert is None:
        raise Http404("no such alert")
    return alert


def matter_of(access: CaseAccess, alert: Alert) -> list[Alert]:
    """The alert, and the others of its cause that stand open on this board: one card, one answer."""
    here = Alert.objects.filter(Q(case=access.case) | Q(case=None), horse=access.horse)
    others = here.filter(cleared_at=None, weight=Alert.Weight.ALERT).exclude(pk=alert.pk)
    if alert.cleared_at is not None:
        return [alert]
    return [alert, *(other for other in others if other.matter == alert.matter)]


def alert_see(*, access: CaseAccess, alert_id: str, now: datetime) -> AlertResponse:
    """Once until the next visit, and for as bad as it is today. For a carer, who answers nothing,
    having seen it is the answer."""
    with deed(access, "alert.see", now=now) as act:
        horse_lock(access.horse)  # the rules do not move the alert meanwhile
        alert = alert_get(access, alert_id)
        matter = matter_of(access, alert)
        seen = _seen_already(access, matter, now.date())
        until_on = quiet_until(alert.horse, now.date())
        words = [
            _word(access, one, AlertResponse.Kind.SEEN, now, until_on=until_on)
            for one in matter
            if one.pk not in seen
        ]
        if words:
            act.rows(words)
            act.line("alert.seen", alert, after={"sentence": alert.now_sentence or alert.sentence})
            act.evaluate()
        return seen.get(alert.pk) or words[0]


def _seen_already(access: CaseAccess, matter: list[Alert], today: date) -> dict[int, AlertResponse]:
    """The person's words on each alert of the matter that still hold."""
    mine = AlertResponse.objects.order_by().filter(
        still_holds(today),
        no_worse(),
        case=access.case,
        person=access.person,
        kind=AlertResponse.Kind.SEEN,
    )
    return {word.alert_id: word for word in mine.filter(alert__in=matter)}


def alert_answer(
    *,
    access: CaseAccess,
    alert_id: str,
    words: str,
    until_on: date | None = None,
    client_key: str = "",
    now: datetime,
) -> AlertResponse:
    """Answers the alert and what else is of its cause, for one's own role: quiet until the end of
    `until_on` (the next planned visit when not given), or until it is worse."""
    with deed(access, "alert.answer", now=now, key=client_key) as act:
        horse_lock(access.horse)  # the rules do not move the alert meanwhile
        alert = alert_get(access, alert_id)
        payload = {"case": access.case.public_id, "alert": alert_id, "words": words}
        if until_on is not None:
            payload["until_on"] = str(until_on)
        if earlier := act.made_before(AlertResponse, payload):
            return earlier
        until = until_on or quiet_until(access.horse, now.date())
        said = [
            _word(access, one, AlertResponse.Kind.ANSWERED, now, until_on=until, words=words)
            for one in matter_of(access, alert)
        ]
        act.rows(said)
        sentence = alert.now_sentence or alert.sentence
        after = {"sentence": sentence, "words": words, "until_on": str(until)}
        act.line("alert.answered", alert, after=after)
        subject = f"{access.horse.name}: {access.person} answered an alert"
        path = reverse("alert", args=[access.case.public_id, alert.public_id])
        act.tell("alert.answered", said[0], subject, body=words, path=path)
        _notices_read(access, said, now)
        act.evaluate()  # which foresees the day that it names
        return act.made(said[0])


def _notices_read(access: CaseAccess, said: list[AlertResponse], now: datetime) -> None:
    """Whoever has answered has read what they were told of it, on whichever board."""
    boards = Case.objects.filter(horse=access.horse).values_list("public_id", flat=True)
    paths = [reverse("alert", args=[b, word.alert.public_id]) for b in boards for word in said]
    unread = Notice.objects.filter(person=access.person, channel=Notice.Channel.APP, read_at=None)
    unread.filter(path__in=paths, created_at__lte=now).update(read_at=now)


def _word(
    access: CaseAccess, alert: Alert, kind: str, now: datetime, *, until_on: date, words: str = ""
) -> AlertResponse:
    word = AlertResponse.objects.create(
        alert=alert,
        case=access.case,
        person=access.person,
        role=access.role,
        stand_in=access.stand_in,
        kind=kind,
        words=words,
        said_at=now,
        until_on=until_on,
        severity=alert.severity,
        severity_sd=alert.severity_sd,
    )
    if kind == AlertResponse.Kind.ANSWERED:
        hats = hats_that_hear(access.role, stand_in=access.stand_in)
        told_set(alert, access.case, hats, now)
    elif access.role == Role.CARER:
        told_set(alert, access.case, [(Role.CARER, False)], now)
    return word
