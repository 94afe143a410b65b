"""Going to pages as one of the cast."""

from datetime import datetime
from typing import Any

from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from horses.models import Case, HistoryLine, Notice, Person


class Door:
    """The pages of one case as one person meets them."""

    def __init__(self, person: Person | None, case: Case) -> None:
        self.client = Client()
        self.case = case
        if person is not None:
            self.client.force_login(person)

    def address(self, name: str, *ids: str) -> str:
        return reverse(name, args=[self.case.public_id, *ids])

    def get(self, name: str, *ids: str, **query: Any) -> HttpResponse:
        return self.client.get(self.address(name, *ids), query)  # type: ignore[return-value]

    def post(self, name: str, *ids: str, query: str = "", **fields: Any) -> HttpResponse:
        address = self.address(name, *ids) + (f"?{query}" if query else "")
        return self.client.post(address, fields)  # type: ignore[return-value]


def text_of(response: Any) -> str:
    return response.content.decode()


def verbs(case: Case) -> list[str]:
    """What the history holds, oldest first."""
    return list(HistoryLine.objects.filter(case=case).values_list("verb", flat=True))


def last_line(case: Case, verb: str) -> HistoryLine:
    line = HistoryLine.objects.filter(case=case, verb=verb).last()
    assert line is not None, f"no line {verb}"
    return line


def shut(case: Case, now: datetime) -> None:
    """The case is closed, without a word in the history."""
    Case.objects.filter(pk=case.pk).update(closed_at=now)


def told(case: Case, verb: str) -> set[str]:
    """The names of those who got a notice of this kind in the app."""
    rows = Notice.objects.filter(case=case, verb=verb, channel=Notice.Channel.APP)
    return set(rows.values_list("person__name", flat=True))
