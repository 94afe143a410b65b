"""Every address of the site, by every method, for every kind of person."""

from datetime import datetime
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from caseboard.sheets.render import Page
from horses.accounts.services.sessions import sign_ins_of
from horses.models import Case, Membership, Notice, Role
from tests import build
from tests.access.people import EVERYBODY, MEMBERS, People
from tests.access.table import (
    CASE_ROWS,
    FEED,
    FORBIDDEN,
    IN,
    INVITATION,
    METHODS,
    NO_METHOD,
    NOT_FOUND,
    NOTICE,
    ONLY_IN_THE_DEMO,
    OPEN_ROWS,
    OWN_ROWS,
    OWN_THINGS,
    SIGN_IN,
    VERIFY,
    WAY_BACK,
    YARD_CASE_ROWS,
    YARD_LINKS,
    YARD_ROWS,
    address,
    feed_address,
    invitation_address,
    names_of_all_addresses,
    outcome,
)
from tests.cast import join
from tests.stage import Stage

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _quick_pdf(monkeypatch: pytest.MonkeyPatch) -> None:
    """Who gets it is the question here, not how it looks."""
    page = Page(b"%PDF-1.7", ())
    monkeypatch.setattr("caseboard.views.sheet.sheet_page", lambda *args, **more: page)
    monkeypatch.setattr("caseboard.views.printouts.blank_pdf", lambda *args, **more: b"%PDF-1.7")
    monkeypatch.setattr("caseboard.views.printouts.round_pdf", lambda *args, **more: b"%PDF-1.7")
    monkeypatch.setattr("caseboard.views.printouts.card_pdf", lambda *args, **more: b"%PDF-1.7")
    monkeypatch.setattr("caseboard.views.sheet.sheet_left_off", lambda sheet: {})


def _ask(
    people: People, who: str, method: str, path: str, data: tuple[tuple[str, str], ...] = ()
) -> str:
    """What the answer comes to; whatever was done is undone."""
    client = people.client(who)
    sid = transaction.savepoint()
    send = getattr(client, method.lower())
    response: Any = send(path, dict(data)) if method == "POST" else send(path)
    if response.streaming:
        b"".join(response)  # reading it to its end closes the file
    transaction.savepoint_rollback(sid)
    return outcome(response)


def test_every_address_has_its_row() -> None:
    rows = {
        *CASE_ROWS,
        *OWN_ROWS,
        *OWN_THINGS,
        *OPEN_ROWS,
        INVITATION,
        NOTICE,
        VERIFY,
        WAY_BACK,
        FEED,
        *YARD_ROWS,
        *YARD_CASE_ROWS,
        *YARD_LINKS,
    }
    assert names_of_all_addresses() - ONLY_IN_THE_DEMO == rows


@pytest.mark.parametrize("method", ["GET", "HEAD", "POST"])
def test_each_page_of_a_case_answers_each_person_as_the_policy_says(
    method: str, stage: Stage, people: People
) -> None:
    wrong = {}
    for name, row in CASE_ROWS.items():
        if method not in row.methods.split():
            continue
        for who in EVERYBODY:
            got = _ask(people, who, method, address(name, stage, who), row.data)
            if got != (expected := row.expected(method, who)):
                wrong[name, who] = f"{got}, not {expected}"
    assert wrong == {}


def test_each_page_takes_its_methods_and_no_other(stage: Stage, people: People) -> None:
    wrong = {}
    for name, row in CASE_ROWS.items():
        for method in set(METHODS) - set(row.methods.split()):
            for who in ("anonymous", "owner", "other_vet"):
                got = _ask(people, who, method, address(name, stage, who))
                if got != row.expected(method, who):
                    wrong[name, method, who] = got
    assert wrong == {}


@pytest.mark.parametrize("method", ["GET", "POST"])
def test_a_closed_case_answers_as_the_policy_says(
    method: str, stage: Stage, people: People, now: datetime
) -> None:
    Case.objects.filter(pk=stage.cast.concern.pk).update(
        closed_at=now, outcome="met", outcome_words="Sound."
    )
    wrong = {}
    for name, row in CASE_ROWS.items():
        if method not in row.methods.split():
            continue
        for who in MEMBERS:
            expected = row.expected(method, who, closed=True)
            got = _ask(people, who, method, address(name, stage, who), row.data)
            if got != expected:
                wrong[name, who] = f"{got}, not {expected}"
    assert wrong == {}


def test_access_ends_on_the_next_click_after_the_removal(
    stage: Stage, people: People, now: datetime
) -> None:
    assert _ask(people, "vet", "GET", address("board", stage)) == IN
    Membership.objects.filter(person=stage.cast.vet, case=stage.cast.concern).update(left_at=now)
    wrong = [
        (name, method)
        for name, row in CASE_ROWS.items()
        for method in row.methods.split()
        if _ask(people, "vet", method, address(name, stage, "vet"), row.data) != NOT_FOUND
    ]
    assert wrong == []


def test_a_thing_of_one_case_is_not_found_under_another(stage: Stage, people: People) -> None:
    """The same person on both cases, of the same horse."""
    of_the_horse = {
        "exam",
        "reading_correct",
        "series",
        "foot",
        "steps",
        "visit_cancel",
        "visit_confirm",
        "visit_correct",
        "visit_void",
        "visit_asked",
        "report_confirm",
        "report_back",
    }
    not_the_owners = {"exam_correct", "exam_void"}  # refused before anything is looked for
    routine = stage.cast.case.public_id
    for name, row in CASE_ROWS.items():
        if not row.more(stage, "owner") or name in {
            *of_the_horse,
            *not_the_owners,
            "look_as",
        }:
            continue
        for method in row.methods.split():
            path = address(name, stage, "owner", case_id=routine)
            assert _ask(people, "owner", method, path, row.data) == NOT_FOUND, (name, method)


def test_a_thing_of_one_horse_is_not_found_under_another(stage: Stage, people: People) -> None:
    elsewhere = stage.cast.other_case.public_id
    for name, row in CASE_ROWS.items():
        if not row.more(stage, "owner") or name in ("series", "foot", "steps", "look_as"):
            continue
        for who in ("other_owner", "other_vet", "other_farrier"):
            for method in row.methods.split():
                path = address(name, stage, "owner", case_id=elsewhere)
                got = _ask(people, who, method, path, row.data)
                assert got in (NOT_FOUND, FORBIDDEN), (name, who, method, got)


def test_a_measurement_is_corrected_by_who_recorded_it_only(stage: Stage, people: People) -> None:
    for of in ("owner", "vet", "farrier"):
        for who in ("owner", "vet", "farrier"):
            reading_id = stage.readings[of].public_id
            path = address("reading_correct", stage, reading_id=reading_id)
            for method in ("GET", "POST"):
                expected = IN if who == of else FORBIDDEN
                assert _ask(people, who, method, path) == expected, (of, who, method)


def test_leaving_is_everybodys_own(stage: Stage, people: People) -> None:
    for who in MEMBERS:
        path = address("member_remove", stage, membership_id=stage.member(who).public_id)
        for asking in MEMBERS:
            expected = IN if asking in (who, "owner") else FORBIDDEN
            assert _ask(people, asking, "GET", path) == expected, (who, asking)


def test_what_the_vet_said_on_the_phone_is_written_down_by_the_owner_only(
    stage: Stage, people: People
) -> None:
    data = (("kind", "vet_phoned"), ("words", "Box rest."))
    for who in MEMBERS:
        got = _ask(people, who, "POST", address("flag", stage), data)
        assert got == (IN if who == "owner" else FORBIDDEN), who


def test_a_therapeutic_item_is_changed_by_the_vet_only(
    stage: Stage, people: People, now: datetime
) -> None:
    item = build.plan_item(stage.access("vet"), now, therapeutic=True)
    path = address("plan_change", stage, item_id=item.public_id)
    for who in MEMBERS:
        for method in ("GET", "POST"):
            expected = IN if who == "vet" else FORBIDDEN
            assert _ask(people, who, method, path) == expected, (who, method)


def test_a_persons_own_pages_need_only_that_they_are_signed_in(
    stage: Stage, people: People
) -> None:
    for name, methods in OWN_ROWS.items():
        for method in METHODS:
            for who in ("anonymous", "owner", "removed", "staff"):
                got = _ask(people, who, method, reverse(name))
                here = IN if method in methods.split() else NO_METHOD
                assert got == (SIGN_IN if who == "anonymous" else here), (name, method, who)


def _left_by_the_owner(stage: Stage, now: datetime) -> str:
    """A case that the owner was on and nobody else who is asked."""
    case = stage.cast.other_case
    join(case, stage.cast.owner, Role.CARER, now)
    Membership.objects.filter(case=case, person=stage.cast.owner).update(left_at=now)
    return case.public_id


def test_a_persons_own_things_are_not_there_for_others(
    stage: Stage, people: People, now: datetime
) -> None:
    Client().force_login(stage.cast.owner)  # a second browser of the owner's
    [sign_in] = sign_ins_of(stage.cast.owner, now=now)
    passkey = stage.cast.owner.passkeys.create(
        public_id="key", credential_hash="0", name="Phone", added_at=now
    )
    things = {
        "sign_in_end": sign_in.handle,
        "passkey_remove": passkey.public_id,
        "former_copy": _left_by_the_owner(stage, now),
    }
    assert things.keys() == OWN_THINGS.keys()
    for name, thing in things.items():
        for method in METHODS:
            for who in ("anonymous", "vet", "removed", "staff", "owner"):
                got = _ask(people, who, method, reverse(name, args=[thing]))
                there = IN if who == "owner" else NOT_FOUND
                expected = there if method in OWN_THINGS[name].split() else NO_METHOD
                assert got == (SIGN_IN if who == "anonymous" else expected), (name, method, who)


def test_a_notice_leads_on_only_the_person_who_got_it(stage: Stage, people: People) -> None:
    notice = Notice.objects.filter(person=stage.cast.owner, channel="app").latest("pk")
    path = reverse(NOTICE, args=[notice.public_id])
    for who in EVERYBODY:
        expected = {"anonymous": SIGN_IN, "owner": IN}.get(who, NOT_FOUND)
        assert _ask(people, who, "GET", path) == expected, who
        assert _ask(people, who, "POST", path) == (SIGN_IN if who == "anonymous" else NO_METHOD)


def test_the_open_pages_are_open_to_everybody(stage: Stage, people: People) -> None:
    for name, methods in OPEN_ROWS.items():
        for method in set(methods.split()) & {"GET", "HEAD"}:
            for who in ("anonymous", "owner", "removed", "staff"):
                got = _ask(people, who, method, reverse(name))
                assert got in (IN, SIGN_IN), (name, method, who, got)


def test_a_calendar_is_read_by_whoever_holds_its_address_and_by_nobody_else(
    stage: Stage, people: People, now: datetime
) -> None:
    path = feed_address(stage, now)
    wrong = reverse(FEED, args=["0" * 64])
    for who in EVERYBODY:
        for method in ("GET", "HEAD"):
            assert _ask(people, who, method, path) == IN, (who, method)
            assert _ask(people, who, method, wrong) == NOT_FOUND, (who, method)
        assert _ask(people, who, "POST", path) == NO_METHOD, who


def test_an_invitation_is_looked_at_by_its_link_and_taken_by_its_address(
    stage: Stage, people: People
) -> None:
    path = invitation_address(stage)
    for who in EVERYBODY:
        assert _ask(people, who, "GET", path) == IN, who
        expected = {"anonymous": SIGN_IN, "invited": IN}.get(who, FORBIDDEN)
        assert _ask(people, who, "POST", path) == expected, who
        assert _ask(people, who, "DELETE", path) == NO_METHOD, who


def test_a_sheets_code_leads_the_team_to_it_and_others_to_a_bare_word(
    stage: Stage, people: People
) -> None:
    path = reverse(VERIFY, args=[stage.sheet.code])
    for who in EVERYBODY:
        answer = people.client(who).get(path)
        assert answer.status_code == (302 if who in MEMBERS else 200), who
        assert _ask(people, who, "POST", path) == NO_METHOD, who
