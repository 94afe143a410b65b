"""What steps cost in sole, and that a thin one is the vet's question."""

from datetime import datetime, timedelta

import pytest

from horses.models import PlanItem
from horses.services.deed import DeedRefused
from measurements.hoof.mechanics import TIP_BEHIND_TOE_MM, heel_raise_mm, sole_taken_mm
from measurements.services.steps import Steps, steps_propose
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]


def ready(cast: Cast, now: datetime, sole: str = "", level: float = 46.0) -> None:
    """A foot at about 46°, the vet's band of 50 to 54° for it, and a film of its sole."""
    build.series(cast.access(cast.farrier), now, [level, level + 0.2, level - 0.1, level + 0.1])
    build.target(cast.access(cast.vet), now)
    if sole:
        on = now.date() - timedelta(days=3)
        build.reading(cast.access(cast.vet), now, "LF", "sole_depth", sole, on, method="radiograph")


def look(cast: Cast, who: str = "vet") -> str:
    return text_of(Door(getattr(cast, who), cast.case).get("steps", "LF"))


def test_a_steeper_step_takes_nearly_the_height_off_the_toe() -> None:
    assert sole_taken_mm(2, 130) == pytest.approx(heel_raise_mm(2, 130) * (130 - 15) / 130)
    assert sole_taken_mm(-2, 130) == pytest.approx(heel_raise_mm(2, 130) * 15 / 130)
    assert TIP_BEHIND_TOE_MM == 15
    assert sole_taken_mm(0, 130) == 0


def test_every_step_says_what_it_takes(cast: Cast, now: datetime) -> None:
    ready(cast, now, sole="25")
    page = look(cast)
    assert page.count('data-label="of sole">4') == 2  # two steps of 2°: 115 mm * tan 2° each
    assert "Trimmed, the steps take about 8" in page
    assert "showed 25 mm. A trim takes sole as well: film again before the last step." in page


def test_a_sole_never_filmed_is_said(cast: Cast, now: datetime) -> None:
    ready(cast, now)
    assert "This sole was never filmed: how much there is to take is not known." in look(cast)


def test_steps_that_would_leave_too_little_ask_for_a_film_first(cast: Cast, now: datetime) -> None:
    ready(cast, now, sole="18")
    page = look(cast)
    assert "more than there is down to 15 mm." in page
    assert "Ask the vet for a new film first." in page


@pytest.mark.parametrize("who", ["vet", "farrier"])
@pytest.mark.parametrize("level", [46.0, 58.0])
def test_under_fifteen_millimetres_no_step_is_worked_out_and_the_vet_is_asked(
    who: str, level: float, cast: Cast, now: datetime
) -> None:
    ready(cast, now, sole="14.5", level=level)
    page = look(cast, who)
    assert "A question for the vet" in page
    assert "Propose these steps" not in page
    assert 'class="table step-rows"' not in page
    assert "No steps are needed" not in page
    assert ("0100 200 302" in page) is (who == "farrier")  # the vet's number


def test_a_sole_of_fifteen_is_not_thin(cast: Cast, now: datetime) -> None:
    ready(cast, now, sole="15")
    assert "Propose these steps" in look(cast)


def test_nobody_proposes_steps_past_the_page(cast: Cast, now: datetime) -> None:
    ready(cast, now, sole="9")
    steps = Steps("LF", "toe_angle", 2.0, 2, now.date(), True, "Up in two visits.", "Axis.")
    with pytest.raises(DeedRefused, match="under 15 mm"):
        steps_propose(access=cast.access(cast.vet), steps=steps, now=now)
    answer = Door(cast.vet, cast.case).post("steps", "LF", reason="Axis.", change="2", length="130")
    assert answer.status_code == 422
    assert not PlanItem.objects.filter(kind="trim").exists()


def test_a_newer_film_with_more_sole_opens_the_page_again(cast: Cast, now: datetime) -> None:
    ready(cast, now, sole="9")
    build.reading(
        cast.access(cast.vet),
        now,
        "LF",
        "sole_depth",
        20,
        now.date(),
        method="radiograph",
    )
    assert "Propose these steps" in look(cast)
