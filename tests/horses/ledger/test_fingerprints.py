"""The fingerprints that stand in the installations: what they are taken of, letter by letter.

Every agreement is bound to the fingerprint of a plan version, every history line to the one before
it. A text that is put together otherwise voids them all without a word, so that the texts are written
out here. A change of one of them is a change for every installation there is.
"""

from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from hashlib import sha256
from typing import Any

import pytest

from caseboard.lib.logging.request_id import request_id_bound
from horses.ledger.append import Told, line_next
from horses.ledger.row_seal import row_seal
from horses.models import Case, HorseWeight, Note, Person
from horses.services.plan import ItemContent, content_hash

AT = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)
ORDINARY = (
    '{"case":"kq3v","from_on":"","item":3,"kind":"home","reason":"","target":null,'
    '"text":"Keep on soft ground – no stones.","therapeutic":false,"until_on":"","version":2,'
    '"who_does":"owner"}'
)
THERAPEUTIC = (
    '{"case":"kq3v","from_on":"2026-11-02","item":1,"kind":"target","reason":"The films.",'
    '"target":{"foot":"LF","high":"54","low":"50"},"text":"50 to 54°","therapeutic":true,'
    '"until_on":"2027-01-31","version":1,"who_does":"farrier"}'
)
ALONE = (
    '{"case":"kq3v","emergency":true,"from_on":"","item":4,"kind":"shoe","reason":"The sole.",'
    '"target":null,"text":"Pads.","therapeutic":true,"until_on":"","version":1,"who_does":"farrier"}'
)


def of(text: str) -> str:
    return sha256(text.encode()).hexdigest()


@pytest.mark.parametrize(
    ("number", "version", "content", "text"),
    [
        (3, 2, ItemContent("home", False, "Keep on soft ground – no stones.", "owner"), ORDINARY),
        (
            1,
            1,
            ItemContent(
                "target",
                True,
                "50 to 54°",
                "farrier",
                from_on=date(2026, 11, 2),
                until_on=date(2027, 1, 31),
                target={"low": "50", "high": "54", "foot": "LF"},
                reason="The films.",
            ),
            THERAPEUTIC,
        ),
        (
            4,
            1,
            ItemContent("shoe", True, "Pads.", "farrier", reason="The sole.", emergency=True),
            ALONE,
        ),
    ],
    ids=["ordinary", "therapeutic", "set alone"],
)
def test_a_plan_versions_fingerprint_is_taken_of_this_text(
    number: int, version: int, content: ItemContent, text: str
) -> None:
    assert content_hash(Case(public_id="kq3v"), number, version, content) == of(text)


def line(case: Case, verb: str, **more: Any) -> Any:
    vet = Person(public_id="vvvv", name="Vera Vet", email="vera@example.test")
    moved = AT.astimezone(timezone(timedelta(hours=2)))  # the same moment
    with request_id_bound("rrrr"):
        told = Told(verb, "s1", **more)
        return line_next(case, told, actor=vet, role="vet", now=moved)


FIRST = (
    '{"actor":"vvvv","actor_name":"Vera Vet","actor_role":"vet","after":{"b":1,"ä":"½"},'
    '"at":"2026-11-02T09:00:00+00:00","audience":",owner,vet,","before":null,"case":"kq3v",'
    '"request_id":"rrrr","seq":1,"subject":"s1","verb":"note.written"}'
)


def test_a_history_line_is_chained_by_this_text() -> None:
    case = Case(public_id="kq3v")
    first = line(case, "note.written", audience=",owner,vet,", after={"ä": "½", "b": 1})
    assert first.canonical == FIRST
    assert first.line_hash == of(f"\n{FIRST}")
    second = line(case, "note.corrected")
    assert (second.seq, second.prev_hash) == (2, first.line_hash)
    assert second.line_hash == of(f"{first.line_hash}\n{second.canonical}")
    assert (case.last_seq, case.last_hash) == (2, second.line_hash)


NOTE = (
    '{"audience":",owner,vet,","author_id":7,"author_role":"vet","body":"Zwei Zeilen.\\nKühl.",'
    '"case_id":5,"corrects_id":null,"flag_id":null,"public_id":"nnnn",'
    '"written_at":"2026-11-02T09:00:00+00:00"}'
)
WEIGHT = (
    '{"entered_unit":"kg","entered_value":"480.5","horse_id":2,"method":"tape","public_id":"wwww",'
    '"recorded_at":"2026-11-02T09:00:00+00:00","recorded_by_id":7,"weighed_on":"2026-11-01",'
    '"weight_kg":"480.5"}'
)


def test_a_rows_fingerprint_is_taken_of_all_its_columns_but_the_databases_number() -> None:
    note = Note(
        pk=99,
        public_id="nnnn",
        case_id=5,
        author_id=7,
        author_role="vet",
        audience=",owner,vet,",
        body="Zwei Zeilen.\nKühl.",
        written_at=AT,
    )
    weight = HorseWeight(
        public_id="wwww",
        horse_id=2,
        weight_kg=Decimal("480.500"),
        entered_value=Decimal("480.5"),
        entered_unit="kg",
        method="tape",
        weighed_on=date(2026, 11, 1),
        recorded_by_id=7,
        recorded_at=AT,
    )
    assert row_seal(note) == of(NOTE)[:32]
    assert row_seal(weight) == of(WEIGHT)[:32]
