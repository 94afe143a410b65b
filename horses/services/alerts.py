"""What people say to an alert. They do not clear it: the numbers do."""

from datetime import datetime

from django.db import transaction
from django.db.models import Q
from django.http import Http404
from django.urls import reverse

from horses.access import TEAM_AUDIENCE, Standing, require
from horses.history import history_append
from horses.models import Alert, AlertWord
from horses.notices import notice_event
from horses.once import once


def alert_get(standing: Standing, alert_id: str) -> Alert:
    alert = Alert.objects.filter(
        Q(case=standing.case) | Q(case=None), horse=standing.horse, public_id=alert_id
    ).first()
    if alert is None:
        raise Http404("no such alert")
    return alert


@transaction.atomic
def alert_see(*, standing: Standing, alert_id: str, now: datetime) -> AlertWord:
    require(standing, "alert.see")
    alert = alert_get(standing, alert_id)
    seen = AlertWord.objects.filter(
        alert=alert, case=standing.case, person=standing.person, kind=AlertWord.Kind.SEEN
    ).first()
    if seen is not None:
        return seen
    word = AlertWord.objects.create(
        alert=alert, case=standing.case, person=standing.person, role=standing.role,
        kind=AlertWord.Kind.SEEN, said_at=now,
    )  # fmt: skip
    history_append(
        case=standing.case, actor=standing.person, role=standing.role, verb="alert.seen",
        subject=alert.public_id, after={"sentence": alert.sentence}, now=now, rows=[word],
    )  # fmt: skip
    return word


@transaction.atomic
def alert_answer(
    *, standing: Standing, alert_id: str, words: str, client_key: str = "", now: datetime
) -> AlertWord:
    require(standing, "alert.answer")
    alert = alert_get(standing, alert_id)

    def make() -> AlertWord:
        word = AlertWord.objects.create(
            alert=alert, case=standing.case, person=standing.person, role=standing.role,
            kind=AlertWord.Kind.ANSWERED, words=words, said_at=now,
        )  # fmt: skip
        history_append(
            case=standing.case, actor=standing.person, role=standing.role,
            verb="alert.answered", subject=alert.public_id,
            after={"sentence": alert.sentence, "words": words}, now=now, rows=[word],
        )  # fmt: skip
        notice_event(
            event=f"alert.answered:{word.public_id}", case=standing.case, verb="alert.answered",
            subject=f"{standing.horse.name}: {standing.person} answered an alert",
            body=words, path=reverse("alert", args=[standing.case.public_id, alert.public_id]),
            audience=TEAM_AUDIENCE, actor=standing.person, now=now,
        )  # fmt: skip
        return word

    payload = {"case": standing.case.public_id, "alert": alert_id, "words": words}
    return once(standing.person, client_key, payload, now=now, make=make, model=AlertWord)
