"""The herd page: filters in the address, the order of need, the same queries for any herd."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from horses.models import Case, Horse, Person, Role
from horses.queries.herd import herd_for
from horses.queries.herd_filter import NEEDS, SHOES
from horses.rules.engine import evaluate
from horses.services.horses import horse_create, horse_set_state
from horses.services.visit_planning import visit_plan
from horses.services.visits import WorkDone
from tests import build
from tests.cast import Cast, join
from tests.horses.doors import text_of

pytestmark = pytest.mark.usefixtures("clock_stands")
DAY = timedelta(days=1)
STATES = ("calm", "soon", "due", "overdue", "planned", "unheard", "flag", "paused")


def horse(cast: Cast, name: str, state: str, now: datetime) -> Horse:
    """A horse in that state; shod in front when its name ends in an odd number."""
    start = now - 100 * DAY
    made = horse_create(
        person=cast.owner, fields={"name": name, "yard": f"Yard {state}"}, now=start
    )
    case = Case.objects.get(horse=made)
    join(case, cast.farrier, Role.FARRIER, start)
    owner, farrier = cast.access(cast.owner, case), cast.access(cast.farrier, case)
    trimmed = now - {"soon": 45, "due": 50, "overdue": 70}.get(state, 20) * DAY
    shod = "shod" if name[-1] in "13579" else "barefoot"
    work = [
        WorkDone(foot, True, shod if foot in ("LF", "RF") else "barefoot")
        for foot in ("LF", "RF", "LH", "RH")
    ]
    build.visit(farrier, trimmed, trimmed.date(), work=work)
    if state == "planned":
        visit_plan(access=owner, on=now.date() + 20 * DAY, now=now)
    if state == "unheard":
        visit_plan(access=owner, on=(now - 8 * DAY).date(), now=now - 15 * DAY)
        evaluate(made, now=now)
    if state == "flag":
        build.flag(owner, now)
    if state == "paused":
        horse_set_state(access=owner, state="paused", reason="Winter", now=now)
    return made


def page(cast: Cast, **query: Any) -> str:
    client = Client()
    client.force_login(cast.owner)
    return text_of(client.get("/horses/", query))


@pytest.fixture
def herd(cast: Cast, now: datetime) -> Cast:
    for number, state in enumerate(STATES):
        horse(cast, f"{state.title()} {number}", state, now)
    return cast


def shown(text: str) -> set[str]:
    return {state for number, state in enumerate(STATES) if f"{state.title()} {number}" in text}


@pytest.mark.parametrize(
    ("query", "left"),
    [
        ({}, set(STATES)),
        ({"need": "due"}, {"due", "overdue", "unheard"}),
        ({"need": "soon"}, {"soon"}),
        ({"need": "flags"}, {"flag"}),
        ({"need": "resting"}, {"paused"}),
        ({"shoes": "front"}, {"soon", "overdue", "unheard", "paused"}),
        ({"shoes": "barefoot", "need": "due"}, {"due"}),
        ({"yard": "yard SOON"}, {"soon"}),
        ({"need": "nonsense", "shoes": "x"}, set(STATES)),
    ],
)
def test_the_address_says_which_horses_are_shown(
    herd: Cast, query: dict[str, str], left: set[str]
) -> None:
    assert shown(page(herd, **query)) == left


def test_calm_horses_stand_by_the_day_they_are_due(herd: Cast, now: datetime) -> None:
    order = [line.horse.name.split()[0] for line in herd_for(herd.owner, today=now.date())]
    calm = [name for name in order if name in ("Due", "Soon", "Planned", "Calm")]
    assert calm == ["Due", "Soon", "Planned", "Calm"]
    assert order.index("Flag") < order.index("Overdue") < order.index("Due")
    assert order[-1] == "Paused"


def test_each_line_says_in_words_and_days_when(herd: Cast) -> None:
    text = page(herd, view="lines")
    for words in (
        "Due 1 day ago",
        "Due in 4 days, not planned yet",
        "Overdue by 21 days",
        "Planned in 20 days",
    ):
        assert words in text, words


def choose(person: Any, view: str, here: str = "") -> Any:
    client = Client()
    client.force_login(person)
    return client.post("/horses/view/", {"view": view, "here": here})


def test_the_list_opens_as_lines_and_as_cards_for_whoever_wants_them(herd: Cast) -> None:
    assert "herd-table" in page(herd)
    choose(herd.owner, "cards")
    assert "herd-table" not in page(herd)
    assert Person.objects.get(pk=herd.farrier.pk).herd_view == "lines"
    choose(herd.owner, "lines")
    assert "herd-table" in page(herd)


def test_an_address_may_say_otherwise_and_is_not_kept(herd: Cast) -> None:
    assert "herd-table" not in page(herd, view="cards")
    assert "herd-table" in page(herd)


def test_choosing_leads_back_to_the_same_horses(herd: Cast) -> None:
    assert 'name="here" value="?q=Soon&amp;need=soon"' in page(herd, need="soon", q=" Soon ")
    assert (
        choose(herd.owner, "cards", "?q=Soon&need=soon")["Location"] == "/horses/?q=Soon&need=soon"
    )


@pytest.mark.parametrize("here", ["//evil.example/", "?next=//evil.example", "\x00", "?page=3"])
def test_choosing_leads_nowhere_else(herd: Cast, here: str) -> None:
    assert choose(herd.owner, "cards", here)["Location"] in ("/horses/", "/horses/?")


def test_a_view_that_there_is_not_changes_nothing(herd: Cast) -> None:
    assert choose(herd.owner, "columns").status_code == 302
    assert Person.objects.get(pk=herd.owner.pk).herd_view == "lines"


@pytest.mark.parametrize(
    ("words", "left"),
    [("SOON", {"soon"}), ("yard flag", {"flag"}), ("nothing", set()), ("7 paused", {"paused"})],
)
def test_a_search_finds_by_name_and_place(herd: Cast, words: str, left: set[str]) -> None:
    assert shown(page(herd, q=words)) == left


def test_of_those_that_need_somebody_the_one_due_first_stands_first(
    cast: Cast, now: datetime
) -> None:
    for name, state in (("Ash", "planned"), ("Birch", "overdue"), ("Cedar", "due")):
        build.flag(cast.access(cast.owner, case_of(horse(cast, name, state, now))), now)
    order = [line.horse.name for line in herd_for(cast.owner, today=now.date())]
    assert order == ["Birch", "Cedar", "Ash", "Juniper"]


def case_of(made: Horse) -> Case:
    return Case.objects.get(horse=made)


def test_every_filter_can_be_asked_for(herd: Cast) -> None:
    for need in NEEDS:
        for shoes in SHOES:
            assert "Your horses" in page(herd, need=need, shoes=shoes)


def test_a_herd_of_forty_in_every_state_needs_no_more_queries_than_one_of_eight(
    herd: Cast, now: datetime
) -> None:
    def queries() -> int:
        client = Client()
        client.force_login(herd.owner)
        with CaptureQueriesContext(connection) as caught:
            assert client.get("/horses/?view=lines").status_code == 200
        return len(caught)

    few = queries()
    for number in range(8, 40):
        horse(herd, f"Horse {number}", STATES[number % len(STATES)], now)
    assert len(herd_for(herd.owner, today=now.date())) == 41
    assert queries() == few


def test_a_lost_shoe_stands_on_the_horses_line(cast: Cast, now: datetime) -> None:
    made = horse(cast, "Plum 1", "planned", now)
    owner = cast.access(cast.owner, Case.objects.get(horse=made))
    build.flag(owner, now, "lost_shoe", feet=["LF"])
    assert "shoes on the right fore; left fore shoe lost" in page(cast)
    assert "Plum 1" not in page(cast, shoes="front")


def test_a_flag_for_now_stands_before_one_for_today(cast: Cast, now: datetime) -> None:
    carer = cast.access(cast.carer)
    build.flag(carer, now, "lost_shoe", feet=["RF"])
    (line,) = (x for x in herd_for(cast.owner, today=now.date()) if x.horse == cast.horse)
    for_today = line.rank
    build.flag(carer, now, "in_sole", feet=["RH"])
    (line,) = (x for x in herd_for(cast.owner, today=now.date()) if x.horse == cast.horse)
    assert line.rank < for_today
