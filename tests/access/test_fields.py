"""Every field of every form, sent by every role in every state of the case: what the page of a role
does not offer changes nothing, and who may not send a form writes nothing with it."""

from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from typing import Any

import pytest

from horses.models import Case, Horse
from tests.access.fields import BUTTONS, FORMS, Offered, payload, written
from tests.access.people import MEMBERS, People
from tests.access.table import CASE_ROWS, IN, address
from tests.stage import Stage

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("not_laid_out")]
# Choices of a page that hang on who looks, and are that person's own affair.
WHO_LOOKS = {"client_key", "seen", "version", "seen_hash", "seen_seq", "seen_version"}


def pages_of(name: str, stage: Stage, people: People) -> Iterator[tuple[str, Offered]]:
    """Member by member the form as their page offers it; of those who may send it."""
    for who in MEMBERS:
        if CASE_ROWS[name].expected("POST", who) != IN:
            continue
        path = address(name, stage, who)
        response = people.client(who).get(path)
        if response.status_code == 200:
            yield who, Offered(response.content.decode(), path)


def typed_by_one(name: str, stage: Stage, people: People) -> dict[str, Any]:
    """The form as the first of those who may send it would send it; nothing for a button."""
    pages = pages_of(name, stage, people) if name in FORMS else iter(())
    return next((payload(name, page) for _, page in pages), {})


def foreign(who: str, pages: dict[str, Offered]) -> list[tuple[str, str]]:
    """Fields, and values of fields, that others are offered and this one is not."""
    return sorted(
        {
            (field, value or "1")
            for other, page in pages.items()
            if other != who
            for field, values in page.values.items()
            for value in values
            if field not in WHO_LOOKS and not pages[who].offers(field, value)
        }
    )


def test_what_a_page_does_not_offer_to_a_role_changes_nothing(stage: Stage, people: People) -> None:
    wrong, accepted, tried = [], set(), 0
    for name in FORMS:
        pages = dict(pages_of(name, stage, people))
        for who, page in pages.items():
            client, path = people.client(who), address(name, stage, who)
            typed = payload(name, page)
            plain = written(client, path, typed)
            accepted |= {name} if plain else set()
            for field, value in foreign(who, pages):
                tried += 1
                if written(client, path, {**typed, field: value}) not in ([], plain):
                    wrong.append((name, who, field, value))
    assert wrong == []
    assert tried >= 20  # the roles' pages do differ
    missing = set(FORMS) - accepted
    assert missing <= NOT_SAVED, missing


# Sent like the rest, but what is filled in here is not enough for them to be saved.
NOT_SAVED = {
    "horse_state",
    "picture_new",
    "picture_points",
    "picture_typed",
    "points_shown",
    "reading_correct",
    "steps",
    "visit_new",
}


def sent_by_others(stage: Stage, people: People, *, closed: bool = False) -> Counter[str]:
    """Each form as one who may would send it, sent by each who may not: what that writes."""
    wrote: Counter[str] = Counter()
    for name in (*FORMS, *BUTTONS):
        typed = typed_by_one(name, stage, people)
        for who in (*MEMBERS, "other_vet", "removed"):
            if CASE_ROWS[name].expected("POST", who, closed=closed) == IN:
                continue
            if written(people.client(who), address(name, stage, who), typed):
                wrote[f"{name} by {who}"] += 1
    return wrote


def test_who_may_not_send_a_form_writes_nothing_with_it(stage: Stage, people: People) -> None:
    assert sent_by_others(stage, people) == Counter()


def test_a_closed_case_takes_only_what_the_policy_says(
    stage: Stage, people: People, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The forms are opened while it is open, and sent when it is closed."""
    typed = {name: typed_by_one(name, stage, people) for name in (*FORMS, *BUTTONS)}
    monkeypatch.setattr(
        "tests.access.test_fields.typed_by_one", lambda name, stage, people: typed[name]
    )
    Case.objects.filter(pk=stage.cast.concern.pk).update(
        closed_at=now, outcome="met", outcome_words="Sound."
    )
    assert sent_by_others(stage, people, closed=True) == Counter()


@pytest.mark.parametrize("state", [Horse.State.PAUSED, Horse.State.ENDED])
def test_a_pause_or_an_ending_widens_nobodys_rights(
    state: str, stage: Stage, people: People
) -> None:
    Horse.objects.filter(pk=stage.cast.horse.pk).update(state=state)
    assert sent_by_others(stage, people) == Counter()
