"""Names that a form does not know, and ids of other boards under them, change nothing that it writes.

A difference means something only beside a control: the same form sent again must write the same. Two
openings of one form differ by its key, which is a row of its own.

Decided 2026-11: each form is compared with the same form sent twice. An earlier trial had seen
`horse=1` change what a target wrote: most likely it opened the form anew for each sending, and each
opening has a key, a row of its own.
"""

from typing import Any

import pytest
from django.test import Client

from tests.access.fields import BUTTONS, FORMS, Offered, payload, written
from tests.access.people import MEMBERS, People
from tests.access.table import CASE_ROWS, IN, address
from tests.stage import Stage

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("not_laid_out")]
NAMES = (
    "horse",
    "horse_id",
    "case",
    "case_id",
    "foot",
    "role",
    "person",
    "person_id",
    "access",
    "own_role",
    "actor",
    "user",
    "member",
    "membership_id",
    "visit",
    "visit_id",
    "exam_id",
    "flag_id",
    "item_id",
    "reading_id",
    "public_id",
    "id",
    "pk",
    "now",
    "taken_by",
    "recorded_by",
    "set_by",
    "source",
    "status_at",
    "next",
    "_method",
    "case__horse",
)
# What makes a form whole that is not so in fields.FILL.
WHOLE: dict[str, dict[str, Any]] = {
    "visit_new": {f"{foot}-left": "shod" for foot in ("LF", "RF", "LH", "RH")}
    | {"sure-shoe-on": "on", "sure-untouched": "on"},
    "horse_state": {"state": "paused"},
}


def strange(stage: Stage) -> list[dict[str, str]]:
    """The names with a number of the database, and with what another board is known by."""
    other = stage.cast.other_case
    ids = {
        "horse": other.horse.public_id,
        "horse_id": str(other.horse.pk),
        "case_id": str(other.pk),
        "person": stage.cast.other_vet.public_id,
        "person_id": str(stage.cast.other_vet.pk),
        "role": "vet",
        "own_role": "vet",
        "foot": "RH",
        "_method": "DELETE",
        "source": "import",
    }
    return [dict.fromkeys(NAMES, "1"), {n: ids.get(n, other.public_id) for n in NAMES}]


def culprits(
    client: Client, path: str, typed: dict[str, Any], more: dict[str, str], plain: list[str]
) -> list[str]:
    return [n for n, v in more.items() if written(client, path, {**typed, n: v}) != plain]


@pytest.mark.parametrize("who", MEMBERS)
def test_an_unknown_or_foreign_name_changes_nothing_that_is_written(
    who: str, stage: Stage, people: People
) -> None:
    client, wrote, wrong = people.client(who), set(), {}
    for name in (*FORMS, *BUTTONS):
        if CASE_ROWS[name].expected("POST", who) != IN:
            continue
        path = address(name, stage, who)
        page = Offered(client.get(path).content.decode(), path) if name in FORMS else None
        typed = {**payload(name, page), **WHOLE.get(name, {})} if page else {}
        plain = written(client, path, typed)
        assert written(client, path, typed) == plain, name  # the control
        wrote |= {name} if plain else set()
        known = page.values if page else {}
        for names in strange(stage):
            more = {n: v for n, v in names.items() if n not in known}
            if written(client, path, {**typed, **more}) != plain:
                wrong[name] = culprits(client, path, typed, more, plain)
    assert wrong == {}
    assert len(wrote) >= LEAST[who], wrote


# How many forms of each write something here, so that the comparison is not of nothing.
LEAST = {"owner": 20, "vet": 20, "farrier": 20, "carer": 3, "stand_in": 18}


def test_two_openings_of_one_form_differ_by_its_key_alone(stage: Stage, people: People) -> None:
    """What a trial with `horse=1` beside a target had seen: it opened the form anew each time."""
    client, path = people.client("vet"), address("target_new", stage, "vet")
    openings = [Offered(client.get(path).content.decode(), path) for _ in range(2)]
    first, second = (payload("target_new", page) for page in openings)
    assert written(client, path, first) != written(client, path, second)
    same_key = {**second, "client_key": first["client_key"], "horse": "1"}
    assert written(client, path, first) == written(client, path, same_key)


@pytest.mark.parametrize(
    ("name", "who"),
    [
        ("visit_correct", "farrier"),
        ("exam_correct", "vet"),
        ("exam_void", "vet"),
        ("visit_new", "farrier"),
    ],
)
def test_the_long_forms_are_among_those_that_write(
    name: str, who: str, stage: Stage, people: People
) -> None:
    client, path = people.client(who), address(name, stage, who)
    page = Offered(client.get(path).content.decode(), path)
    assert written(client, path, {**payload(name, page), **WHOLE.get(name, {})})
