"""Whoever says near and off reads it so, wherever the program speaks; typed words stay as typed."""

from datetime import datetime, timedelta

import pytest
from django.test import Client

from caseboard.lib.words import own_start
from horses.domain.finding import Finding
from horses.ledger.append import history_append
from horses.models import HistoryLine, Notice, Person
from horses.presenters.history_sentences import history_told
from horses.queries.show_readiness import show_check
from horses.rules.alert_life import Lives
from horses.services.notes import note_write
from measurements.panels.worksheet import worksheet_for
from measurements.queries.numbers import numbers_of
from tests import build
from tests.caseboard.walk import words_of
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]
DAY = timedelta(days=1)
TYPED = "Short on the left fore since Tuesday."


@pytest.fixture
def near(cast: Cast, now: datetime) -> Person:
    """The owner, who says near and off; on a horse with a left fore in every kind of sentence."""
    Person.objects.filter(pk=cast.owner.pk).update(side_words="near_off")
    cast.owner.refresh_from_db()
    at = now - 10 * DAY
    work = [build.WorkDone(foot="LF", trimmed=True, shoeing_left="shod")]
    build.visit(cast.access(cast.farrier), at, at.date(), work=work)
    build.target(cast.access(cast.vet), now)
    note_write(access=cast.access(cast.vet), body=TYPED, audience=frozenset(build.TEAM), now=now)
    found = Finding(
        rule="foot.drift",
        subject="LF",
        title="Left fore: slow change",
        sentence="The left fore toe angle falls (left 50°, right 52.5°).",
    )
    lives = Lives(cast.horse, now)
    lives.take({found.key: found})
    lives.tell()
    return cast.owner


def test_the_board_says_near_and_leaves_typed_words_as_they_are(near: Person, cast: Cast) -> None:
    page = words_of(text_of(Door(near, cast.case).get("board")))
    assert "Near fore: slow change" in page
    assert "The near fore toe angle falls (near 50°, off 52.5°)." in page
    assert "shoes on the near fore" in page
    assert "Near fore toe angle 50 to 54°" in page
    typed_away = page.replace(TYPED, "").replace(cast.concern.title, "")
    assert "left fore" not in typed_away.casefold()


def test_others_read_left_and_right_on_the_same_board(near: Person, cast: Cast) -> None:
    page = words_of(text_of(Door(cast.vet, cast.case).get("board")))
    assert "The left fore toe angle falls (left 50°, right 52.5°)." in page


def test_the_notice_of_an_alert_is_in_the_words_of_who_gets_it(near: Person, cast: Cast) -> None:
    raised = Notice.objects.filter(verb="alert.raised", channel="app")
    assert "Near fore" in raised.filter(person=near)[0].subject
    assert "near 50°" in raised.filter(person=near)[0].body
    assert "Left fore" in raised.filter(person=cast.vet)[0].subject


def test_the_show_check_and_the_worksheet_say_near(near: Person, cast: Cast, now: datetime) -> None:
    access = cast.access(near)
    shown = show_check(access, on=(now + DAY).date(), today=now.date())
    told = " ".join(check.words for check in shown)
    assert "off fore, near hind and off hind" in told
    assert "left" not in told
    facts = worksheet_for(access, numbers_of(cast.horse, today=now.date()), now.date()).facts
    assert "near fore" in facts[0].lines[0]


@pytest.mark.parametrize(
    ("verb", "after", "words", "quote", "details"),
    [
        (
            "flag.raised",
            {"signs": ["Heat"], "feet": ["LF"], "words": TYPED},
            "said something is not right: Heat, near fore",
            TYPED,
            (),
        ),
        (
            "visit.kept",
            {"on": "2026-11-02", "work": {"RH": "trimmed"}, "words": TYPED},
            "wrote up the visit of 2 Nov 2026",
            TYPED,
            ("Off hind: trimmed",),
        ),
        (
            "alert.raised",
            {"sentence": "The left fore falls."},
            "raised an alert",
            "The near fore falls.",
            (),
        ),
        ("case.opened", {"title": "Left fore"}, "opened the case “Left fore”", "", ()),
        (
            "readings.recorded",
            {"readings": ["LF toe_angle 52,5 deg gauge after"], "on": "2026-11-02"},
            "recorded 1 measurement of 2 Nov 2026",
            "",
            ("Near fore toe angle 52,5°, gauge, after the trim",),
        ),
    ],
)
def test_a_history_line_says_near_in_the_programs_words_only(
    verb: str,
    after: dict[str, object],
    words: str,
    quote: str,
    details: tuple[str, ...],
    cast: Cast,
    near: Person,
    now: datetime,
) -> None:
    history_append(
        case=cast.case, actor=cast.vet, role="vet", verb=verb, subject="x", after=after, now=now
    )
    told = history_told(HistoryLine.objects.latest("pk"), near)
    assert (told.words, told.quote, told.details) == (words, quote, details)


def test_the_fields_of_how_the_feet_point_say_near_and_off(near: Person, cast: Cast) -> None:
    page = words_of(text_of(Door(near, cast.case).get("stance_new")))
    assert "off hind" in page.casefold()
    assert "right" not in page.casefold()


def test_an_alert_that_is_worse_and_an_angle_below_nought_say_near_and_off(
    near: Person, cast: Cast, now: datetime
) -> None:
    history_append(
        case=cast.case,
        actor=None,
        role="",
        verb="alert.worse",
        subject="x",
        now=now,
        after={"sentence": "The right fore toe angle has risen."},
    )
    line = HistoryLine.objects.filter(case=cast.case, verb="alert.worse").latest("seq")
    assert "off fore" in history_told(line, near).quote
    assert own_start("Left fore palmar angle -4.5°, radiograph", near).startswith("Near fore")


def said_since(person: Person, side_words: str) -> str:
    """The list of notices of somebody who has chosen other words since they were written."""
    Person.objects.filter(pk=person.pk).update(side_words=side_words)
    client = Client()
    client.force_login(Person.objects.get(pk=person.pk))
    return words_of(text_of(client.get("/notices/")))


@pytest.mark.parametrize(
    ("before", "after", "foot"),
    [("left_right", "near_off", "off fore"), ("near_off", "left_right", "right fore")],
)
def test_a_notice_is_read_in_the_words_chosen_since(
    cast: Cast, now: datetime, before: str, after: str, foot: str
) -> None:
    Person.objects.filter(pk=cast.farrier.pk).update(side_words=before)
    owner = cast.access(cast.owner)
    build.flag(owner, now, "lost_shoe", feet=["RF"], words="It lay by the right fore jump.")
    listed = said_since(cast.farrier, after)
    assert f"Juniper: shoe lost, {foot}" in listed
    assert f" {foot} It lay by the right fore jump." in listed


def test_an_alert_told_before_is_read_in_the_words_chosen_since(near: Person, cast: Cast) -> None:
    assert "Juniper: Near fore: slow change" in said_since(cast.vet, "near_off")
    assert "Juniper: Left fore: slow change" in said_since(near, "left_right")
    assert "(left 50°, right 52.5°)" in said_since(near, "left_right")


def test_a_note_in_the_list_stays_as_it_was_typed(near: Person, cast: Cast) -> None:
    assert TYPED in said_since(near, "near_off")
