"""What somebody says of a lost shoe is read on the board it was said on, and on no other of the horse."""

from datetime import datetime

import pytest

from horses.queries.shoes import shoe_changes_for
from horses.services.shoes import shoe_back
from tests import build
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def test_words_of_another_board_of_the_horse_stay_there(cast: Cast, now: datetime) -> None:
    owner, today = cast.access(cast.owner, cast.concern), now.date()
    flag = build.flag(owner, now, "lost_shoe")
    fields = {"kind": "back", "feet": ["LF"], "on": today, "words": "Between us."}
    shoe_back(access=owner, flag_id=flag.public_id, now=now, **fields)  # type: ignore[arg-type]
    here, there = (cast.access(cast.farrier, case) for case in (cast.concern, cast.case))
    assert [change.words for change in shoe_changes_for(here)] == ["", "Between us."]
    assert [change.words for change in shoe_changes_for(there)] == ["", ""]
