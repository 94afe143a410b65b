"""Counts the queries of the pages whose cost must not grow with the estate."""

from collections.abc import Callable
from typing import Any

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from caseboard.lib import clock
from horses.models import Case, FootWork, Membership, Person, Role
from tests.bench.load_deeds import METHODS

FEET = ("LF", "RF", "LH", "RH")


def page_queries(estate: str = "estate") -> dict[str, int]:
    """By page, for the first horse of the estate; the herd and the round are of their largest
    account. One visit is saved by it."""
    cases = Case.objects.filter(kind="routine", opened_by__email__startswith=estate)
    case = cases.select_related("horse").order_by("pk").first()
    assert case is not None
    members = list(Membership.objects.filter(case=case).select_related("person").order_by("pk"))
    by_role = {Role(m.role): m.person for m in reversed(members)}
    owner, farrier, manager = by_role[Role.OWNER], by_role[Role.FARRIER], members[-1].person
    board = [case.public_id]
    series = reverse("series", args=[case.public_id, "LF", "toe_angle"])
    count = {
        "board": _get(owner, reverse("board", args=board)),
        "series page": _get(owner, series),
        "herd page": _get(manager, reverse("horses")),
        "herd page, a filter set": _get(manager, reverse("horses") + "?need=someone"),
        "round": _get(farrier, reverse("round")),
        "visit form": _get(farrier, reverse("visit_new", args=board)),
        "plan sheet": _get(owner, reverse("sheet", args=board)),
        "history": _get(owner, reverse("history", args=board)),
        "notices": _get(owner, reverse("notices")),
    }
    return {**count, "visit saved": _save_visit(farrier, case)}


def _get(person: Person, path: str) -> int:
    client = signed(person)
    client.get(
        path
    )  # what a page reads once in a process, or notes at a first look, is not counted
    return _counted(lambda: client.get(path), 200)


def _save_visit(farrier: Person, case: Case) -> int:
    last = FootWork.objects.filter(visit__horse=case.horse).order_by("-pk").first()
    shoe = last.shoe if last else "none"
    fields: dict[str, Any] = {
        "kept_on": clock.now().date().isoformat(),
        "words": "",
        "next_on": "",
        "sure-again": "on",  # an estate that was written on before may have one of the same day
        **METHODS,
    }
    for foot in FEET:
        fields |= {f"{foot}-trimmed": "on", f"{foot}-shoe": shoe}
        fields |= {f"{foot}-toe_angle-after": "52"} | ({} if last else {f"{foot}-left": "barefoot"})
    client, path = signed(farrier), reverse("visit_new", args=[case.public_id])
    return _counted(lambda: client.post(path, fields), 302)


def signed(person: Person) -> Client:
    client = Client()
    client.force_login(person, backend="allauth.account.auth_backends.AuthenticationBackend")
    return client


def _counted(ask: Callable[[], Any], status: int) -> int:
    with CaptureQueriesContext(connection) as seen:
        answer = ask()
    assert answer.status_code == status, answer.status_code
    return len(seen)
