"""The page of a growing horse: windows as dates, looks, how the feet point."""

from datetime import date, datetime, timedelta

import pytest

from horses.models import Alert, Horse, StanceNote
from horses.rules.engine import evaluate
from horses.services.toe_direction import stance_note
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = pytest.mark.usefixtures("clock_stands")
BORN = date(2026, 8, 10)  # 84 days old: the fetlock grows for 16 days more


@pytest.fixture
def foal(cast: Cast) -> Cast:
    Horse.objects.filter(pk=cast.horse.pk).update(born_on=BORN, use="young")
    cast.horse.refresh_from_db()
    return cast


def test_the_windows_stand_there_as_days_of_this_foal(foal: Cast) -> None:
    page = text_of(Door(foal.owner, foal.case).get("young"))
    assert "act on the fetlock ends at about 100 days, 18 Nov 2026: 16 days left" in page
    assert "Carpus (knee): Wed 10 Feb 2027" in page
    assert "Ducharme" in page


def test_the_next_looks_follow_the_age(foal: Cast) -> None:
    assert "Mon 24 Aug 2026" in text_of(Door(foal.owner, foal.case).get("young"))


def test_how_the_feet_point_is_noted_and_drawn(foal: Cast) -> None:
    door = Door(foal.farrier, foal.case)
    answer = door.post("stance_new", seen_on="2026-11-01", LF="-1", RF="0", words="From the knee.")
    assert answer.status_code == 302
    assert set(StanceNote.objects.values_list("foot", "stance")) == {("LF", -1), ("RF", 0)}
    page = text_of(door.get("young"))
    assert page.count('class="plot plot-stance"') == 2
    assert "toes in slightly" in page


def test_a_look_at_no_foot_is_not_saved_and_keeps_the_words(foal: Cast) -> None:
    answer = Door(foal.farrier, foal.case).post("stance_new", seen_on="2026-11-01", words="Hm.")
    assert answer.status_code == 422
    assert "Hm." in text_of(answer)
    assert not StanceNote.objects.exists()


def test_a_day_before_the_birth_is_refused(foal: Cast) -> None:
    answer = Door(foal.farrier, foal.case).post("stance_new", seen_on="2026-08-01", LF="0")
    assert answer.status_code == 422


def note(cast: Cast, now: datetime, stance: int) -> None:
    stance_note(
        access=cast.access(cast.farrier), seen_on=now.date(), stances={"LF": stance}, now=now
    )


def test_a_turned_foot_and_a_closing_window_ask_for_the_vet(foal: Cast, now: datetime) -> None:
    note(foal, now, -1)
    evaluate(foal.horse, now=now)
    alert = Alert.objects.get(rule="young.window")
    assert alert.subject == "fetlock"
    assert "the left fore toes in slightly" in alert.sentence
    assert "18 Nov 2026, in 16 days. Ask the vet before then." in alert.sentence


def test_a_straight_foot_or_a_window_far_off_raises_nothing(foal: Cast, now: datetime) -> None:
    note(foal, now, 0)
    evaluate(foal.horse, now=now)
    assert not Alert.objects.filter(rule="young.window").exists()
    note(foal, now, 2)
    evaluate(foal.horse, now=now - timedelta(days=10))
    assert not Alert.objects.filter(rule="young.window").exists()
