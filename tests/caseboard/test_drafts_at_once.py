"""The same draft from a page and from the queue at the same moment is one entry, on either database."""

from datetime import datetime
from functools import partial

import pytest

from caseboard.lib import clock
from horses.models import Note
from tests.at_once import at_once
from tests.caseboard.test_drafts_received import Phone, note_fields, note_path
from tests.cast import Cast, make_cast

pytestmark = pytest.mark.django_db(transaction=True)
ROUNDS = 4


@pytest.fixture
def cast() -> Cast:
    now: datetime = clock.now()
    return make_cast(now)


def test_a_draft_sent_three_times_at_once_is_saved_once_and_answered_thrice(cast: Cast) -> None:
    phones = [Phone(cast.owner) for _ in range(3)]
    fields = note_fields(phones[0], cast)
    for turn in range(ROUNDS):
        send = [partial(one.send, note_path(cast), f"k{turn}", **fields) for one in phones]
        answers = at_once(*send)
        assert [answer.status_code for answer in answers] == [200] * 3
        assert len({answer.json()["to"] for answer in answers}) == 1
    assert Note.objects.count() == ROUNDS
