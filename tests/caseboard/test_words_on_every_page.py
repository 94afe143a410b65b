"""The demo walked page by page, as its people: one way to name the sides, true plurals, plain
words."""

import calendar
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from django.db import models, transaction

from caseboard.demo import load, people
from horses import models as horse_models
from horses.models import Person
from tests.caseboard.walk import Seen, pages_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("_on_the_day")]
NOW = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)
WALKERS = ("manager", "farrier")
# A side of a foot as the program says it. People's own words are not of its making.
SIDES = re.compile(r"\b(?:left|right) (?:and right\b|fore|hind|front|foot|feet|\d)", re.IGNORECASE)
SIDES_CHOICE = "The sides of a horse left and right near and off"  # the choice itself, on /me/
ONE_OF_MANY = re.compile(
    r"(?<![\d.,])1 (?:hours|days|weeks|months|years|visits|trims|readings|items|flags|alerts|lines|"
    r"notes|photos|changes|measurements|horses|things|pairs|cycles|remarks)\b"
)
# Words that read oddly to horse people, as they stood on a page.
ODD = (
    "Stands at",
    "for your word",
    "of another role",
    "heard from",
    "a word from",
    "with word",
    "Your word ",
    "no word from",
    "was heard",
)
# Of May the short and the full name are one.
FULL_MONTHS = [name for name in calendar.month_name if len(name) > 3]
MONTH_IN_FULL = re.compile(rf"\b\d{{1,2}} (?:{'|'.join(FULL_MONTHS)})\b")
AS_MACHINES_WRITE = re.compile(r"\b20\d\d-\d\d-\d\d\b")
WITHOUT_YEAR = re.compile(rf"\b\d{{1,2}} (?:{'|'.join(calendar.month_abbr[1:])})\b(?! \d{{4}})")
FIRST_SCREENS = ("board", "look_as", "notice")  # a notice leads to its board
TO_TYPE = "yard_horses_add"  # an example of what may be typed
MOST_WITHOUT_YEAR = 40  # the rows and the visit of the boards that were walked; house default
TYPED = {
    "AlertResponse": ["words"],
    "Agreement": ["reason"],
    "Case": ["title", "outcome_words"],
    "Exam": ["words"],
    "ExamFoot": ["testers_where"],
    "Flag": ["words"],
    "FlagAnswer": ["words"],
    "FootWork": ["words", "shoe_words"],
    "Horse": ["danger", "handling", "state_reason"],
    "Note": ["body"],
    "PlanItem": ["status_reason"],
    "PlanItemVersion": ["text", "reason"],
    "PlanReply": ["words"],
    "Soundness": ["surface"],
    "Visit": ["words", "status_reason"],
    "ShoeChange": ["words"],
    "StanceNote": ["words"],
}


@pytest.fixture(scope="module")
def walked(django_db_setup: None, django_db_blocker: object) -> Iterator[dict[str, list[Seen]]]:
    """The demo with people who all say near and off, and pages of two of them."""
    monkeypatch = pytest.MonkeyPatch()
    who = {key: replace(one, side_words="near_off") for key, one in people.WHO.items()}
    monkeypatch.setattr(people, "WHO", who)
    monkeypatch.setattr("caseboard.lib.clock.now", lambda: NOW)
    with django_db_blocker.unblock(), transaction.atomic():  # type: ignore[attr-defined]
        load(NOW)
        emails = {key: who[key].email for key in WALKERS}
        yield {
            key: list(pages_of(Person.objects.get(email=email), most=3))
            for key, email in emails.items()
        }
        transaction.set_rollback(True)
    monkeypatch.undo()


@pytest.fixture
def _on_the_day(walked: dict[str, list[Seen]]) -> None:
    """Every test here looks at the walked pages."""


def _typed() -> str:
    """All that the demo's people typed, as one text."""
    texts = []
    for name, fields in TYPED.items():
        model: type[models.Model] = getattr(horse_models, name)
        rows = model._default_manager.all()
        if name == "PlanItemVersion":  # a band's and a step's words are the program's own
            rows = rows.filter(target__isnull=True)
        for row in rows.values_list(*fields):
            texts += [" ".join(str(text).split()) for text in row if text]
    return " ¦ ".join(texts)


def _not_typed(walked: dict[str, list[Seen]], pattern: re.Pattern[str]) -> dict[str, str]:
    """Where it stands in the program's words: neither what is before it nor what comes after is as
    somebody typed it."""
    typed, found = _typed(), {}
    for seen in walked.values():
        for page in seen:
            for hit in pattern.finditer(page.words):
                before = page.words[max(0, hit.start() - 6) : hit.end()]
                after = page.words[hit.start() : hit.end() + 6]
                if before not in typed and after not in typed:
                    around = page.words[max(0, hit.start() - 50) : hit.end() + 40]
                    found[around] = page.address
    return found


def test_whoever_says_near_and_off_reads_no_left_and_right(walked: dict[str, list[Seen]]) -> None:
    found = _not_typed(walked, SIDES)
    assert {words: at for words, at in found.items() if SIDES_CHOICE not in words} == {}


def test_no_page_counts_one_of_a_thing_as_many(walked: dict[str, list[Seen]]) -> None:
    found = {
        match[0]: page.address
        for seen in walked.values()
        for page in seen
        for match in ONE_OF_MANY.finditer(page.words)
    }
    assert found == {}


@pytest.mark.parametrize("words", ODD)
def test_no_page_says_it_in_words_that_read_oddly(
    walked: dict[str, list[Seen]], words: str
) -> None:
    assert _not_typed(walked, re.compile(re.escape(words))) == {}


@pytest.mark.parametrize("pattern", [MONTH_IN_FULL, AS_MACHINES_WRITE], ids=["in full", "numbers"])
def test_every_day_on_every_page_is_written_alike(
    walked: dict[str, list[Seen]], pattern: re.Pattern[str]
) -> None:
    """ "2 Nov 2026": two ways on one page read like two kinds of days."""
    assert _not_typed(walked, pattern) == {}


def test_a_day_goes_without_its_year_on_the_first_screen_only(
    walked: dict[str, list[Seen]],
) -> None:
    found = _not_typed(walked, WITHOUT_YEAR)
    kinds = {page.address: page.kind for seen in walked.values() for page in seen}
    assert {w: at for w, at in found.items() if kinds[at] not in (*FIRST_SCREENS, TO_TYPE)} == {}
    assert sum(len(WITHOUT_YEAR.findall(words)) for words in found) <= MOST_WITHOUT_YEAR


def test_the_walk_comes_to_the_pages_that_matter(walked: dict[str, list[Seen]]) -> None:
    kinds = {page.kind for seen in walked.values() for page in seen}
    assert kinds >= {
        "board",
        "series",
        "alert",
        "flag",
        "plan_item",
        "history",
        "visits",
        "worksheet",
        "show_check",
        "notices",
        "sheet",
        "visit_new",
    }
