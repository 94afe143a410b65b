"""What the pages cost: processor time beside a bare view's, queries and nodes, at several sizes.

A bare view does nothing behind the same middleware. All pages are asked for in turns, so that a
busy moment of the machine meets them alike, and the best of several turns counts.
"""

import gzip
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from html.parser import HTMLParser
from random import Random

from django.db import connection, transaction
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from caseboard.lib import clock
from horses.models import Case, Horse, Person, Role, Visit
from horses.rules.engine import evaluate
from tests.bench.estate_people import people_make
from tests.bench.estate_rows import Rows
from tests.bench.load_queries import signed

READINGS = {"60": 60, "5,000": 5000}
PAGE_HORSES, HERD_HORSES = 60, 500  # a page of the herd; a large yard
FEW_STOPS, MANY_STOPS = 25, 200  # a farrier's long day; all the yards of one week
BARE = "bare"
GZIP_LEVEL = 6  # what a server in front of it compresses with by default


@dataclass(frozen=True)
class Page:
    person: Person
    path: str


@dataclass(frozen=True)
class Cost:
    cpu_s: float
    queries: int
    nodes: int
    kilobytes: float  # compressed, as a server sends it


def views_of(page: str, size: str) -> Callable[[bool], float]:
    """How many bare views a page costs."""

    def measure(quick: bool) -> float:
        costs = horse_costs(quick)
        return costs[f"{page} {size}"].cpu_s / costs[BARE].cpu_s

    return measure


def growth_of(page: str) -> Callable[[bool], float]:
    """What a page of many readings costs beside the same page of few."""

    def measure(quick: bool) -> float:
        costs = horse_costs(quick)
        return costs[f"{page} 5,000"].cpu_s / costs[f"{page} 60"].cpu_s

    return measure


def kilobytes_of(page: str) -> Callable[[bool], float]:
    return lambda quick: horse_costs(quick)[f"{page} 60"].kilobytes


def nodes_of(page: str) -> Callable[[bool], float]:
    return lambda quick: horse_costs(quick)[f"{page} 60"].nodes


def queries_more(quick: bool) -> float:
    """The queries that many readings add, on the page that adds most."""
    costs = horse_costs(quick)
    return max(
        costs[name.replace("60", "5,000")].queries - cost.queries
        for name, cost in costs.items()
        if name.endswith("60")
    )


def herd_growth(quick: bool) -> float:
    costs = herd_costs(quick)
    return costs["herd many"].cpu_s / costs["herd few"].cpu_s


def day_list_growth(quick: bool) -> float:
    costs = herd_costs(quick)
    return costs["day list many"].cpu_s / costs["day list few"].cpu_s


@cache
def horse_costs(quick: bool) -> dict[str, Cost]:
    """The pages of one horse of each size; every foot is judged, as a worker leaves it."""
    pages: dict[str, Page] = {}
    for seed, (size, readings) in enumerate(READINGS.items(), start=1):
        with transaction.atomic():
            case = _horses(seed, 1, readings)[0]
        evaluate(case.horse, now=clock.now())
        team = {Role(m.role): m.person for m in case.memberships.select_related("person")}
        owner, farrier = team[Role.OWNER], team[Role.FARRIER]
        board = [case.public_id]
        pages |= {
            f"board {size}": Page(owner, reverse("board", args=board)),
            f"series {size}": Page(owner, reverse("series", args=[*board, "LF", "toe_angle"])),
            f"visit form {size}": Page(farrier, reverse("visit_new", args=board)),
            f"sheet {size}": Page(owner, reverse("sheet", args=board)),
        }
    return costs_of(pages, turns=7 if quick else 25)


@cache
def herd_costs(quick: bool) -> dict[str, Cost]:
    """The herd and the day list of a small and a large yard, a stop a horse on one day."""
    pages: dict[str, Page] = {}
    sizes = {"few": (PAGE_HORSES, FEW_STOPS), "many": (HERD_HORSES, MANY_STOPS)}
    for seed, (name, (horses, stops)) in enumerate(sizes.items(), start=11):
        with transaction.atomic():
            cases = _horses(seed, horses, 24)
            _planned(cases[:stops])
        person = cases[0].opened_by
        farrier = cases[0].memberships.filter(role=Role.FARRIER)[0].person
        pages |= {
            f"herd {name}": Page(person, reverse("horses")),
            f"day list {name}": Page(farrier, reverse("round")),
        }
    return costs_of(pages, turns=4 if quick else 12)


def _horses(seed: int, count: int, readings: int) -> list[Case]:
    """So many horses of one yard with one owner, farrier and vet."""
    now = clock.now().replace(microsecond=0)
    yard = people_make(seed, 1, now - timedelta(days=1500))[0]
    rows = Rows(Random(f"pages {seed}"), now)
    for number in range(count):
        rows.add_horse(yard, readings=readings, number=number)
    rows.save()
    cases = Case.objects.filter(horse__yard=yard.name, kind=Case.Kind.ROUTINE)
    return list(cases.select_related("horse", "opened_by").order_by("pk"))


def _planned(cases: list[Case]) -> None:
    today = clock.now().date()
    horses = [case.horse_id for case in cases]
    Visit.objects.filter(horse__in=horses, status=Visit.Status.PLANNED).delete()
    for case in cases:
        farrier = case.memberships.filter(role=Role.FARRIER)[0].person
        Visit.objects.create(
            horse=Horse(pk=case.horse_id),
            case=case,
            kind=Visit.Kind.FARRIER,
            status=Visit.Status.PLANNED,
            planned_on=today,
            recorded_at=clock.now(),
            person=farrier,
            person_role=Role.FARRIER,
            person_name=str(farrier),
        )


def costs_of(pages: Mapping[str, Page], *, turns: int) -> dict[str, Cost]:
    """Each page's best processor time of the turns, a bare view among them."""
    with override_settings(ROOT_URLCONF="tests.bench.bare_urls"):
        any_page = next(iter(pages.values()))
        asked = {BARE: Page(any_page.person, "/bare/"), **pages}
        clients = {person: signed(person) for person in {p.person for p in asked.values()}}
        seen = {name: _looked_at(clients[p.person], p.path) for name, p in asked.items()}
        best = dict.fromkeys(asked, float("inf"))
        for _ in range(turns):
            for name, page in asked.items():
                best[name] = min(best[name], _cpu_s(clients[page.person], page.path))
    return {name: Cost(best[name], *seen[name]) for name in asked}


def _cpu_s(client: Client, path: str) -> float:
    began = time.process_time()
    client.get(path)
    return time.process_time() - began


def _looked_at(client: Client, path: str) -> tuple[int, int, float]:
    """Queries, nodes and compressed kB at a second look: what is read once in a process is not counted."""
    client.get(path)
    with CaptureQueriesContext(connection) as queries:
        answer = client.get(path)
    assert answer.status_code == 200, (path, answer.status_code)
    small = gzip.compress(answer.content, GZIP_LEVEL)
    return len(queries), nodes(answer.content.decode()), len(small) / 1000


class _Counting(HTMLParser):
    count = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.count += 1


def nodes(html: str) -> int:
    """The elements of a page."""
    parser = _Counting()
    parser.feed(html)
    return parser.count
