"""The farrier writes up a visit: quick to fill in, questioned when odd, and never half saved."""

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest

from horses.models import FootWork, Trim, Visit
from measurements.models import Reading
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, shut, text_of, told, verbs
from tests.measurements.visit_form import send, sheet, values

pytestmark = pytest.mark.usefixtures("clock_stands")


def test_a_visit_of_two_feet_with_a_note_is_saved_whole(cast: Cast) -> None:
    answer = send(
        cast,
        "LF",
        "RF",
        words="Both dished.",
        next_on="2026-12-20",
        **{
            "LF-toe_angle-before": "48,5",
            "LF-toe_angle-after": "52",
            "LF-toe_length-after": "8.3",
            "RF-toe_angle-before": "50",
            "RF-toe_angle-after": "52.5",
            "LF-shoe": "reset",
        },
    )
    assert answer.status_code == 302
    kept = Visit.objects.get(status="kept")
    assert (kept.kept_on, kept.words) == (date(2026, 11, 1), "Both dished.")
    assert values() == {
        ("LF", "toe_angle", "before"): Decimal("48.5"),
        ("LF", "toe_angle", "after"): Decimal("52"),
        ("LF", "toe_length", "after"): Decimal("83"),
        ("RF", "toe_angle", "before"): Decimal("50"),
        ("RF", "toe_angle", "after"): Decimal("52.5"),
    }
    assert {r.visit_id for r in Reading.objects.all()} == {kept.pk}


def test_the_history_has_it_and_the_others_are_told(cast: Cast) -> None:
    send(cast, "LF", **{"LF-toe_angle-after": "52"})
    assert {"visit.kept", "readings.recorded"} <= set(verbs(cast.case))
    assert "Ola Owner" in told(cast.case, "visit.kept")
    assert "Finn Farrier" not in told(cast.case, "visit.kept")


def test_only_the_feet_ticked_are_trimmed(cast: Cast) -> None:
    send(cast, "LF", "LH")
    assert set(Trim.objects.values_list("foot", flat=True)) == {"LF", "LH"}
    assert set(FootWork.objects.values_list("foot", flat=True)) == {"LF", "LH"}


def test_a_value_of_a_foot_that_was_not_trimmed_is_one_between_visits(cast: Cast) -> None:
    send(cast, "LF", **{"RH-toe_angle-before": "53"})
    assert ("RH", "toe_angle", "between") in values()
    assert not Trim.objects.filter(foot="RH").exists()


def test_a_value_after_a_trim_needs_the_foot_ticked(cast: Cast) -> None:
    answer = send(cast, "LF", **{"RH-toe_angle-after": "53"})
    assert answer.status_code == 422
    assert "not ticked as trimmed" in text_of(answer)
    assert not Visit.objects.filter(status="kept").exists()


def test_a_stand_in_farrier_may_write_up_a_visit(cast: Cast) -> None:
    assert send(cast, "LF", who="stand_in").status_code == 302


@pytest.mark.parametrize("who", ["owner", "vet", "carer"])
def test_the_other_roles_get_403_for_the_page_and_for_the_form(cast: Cast, who: str) -> None:
    assert Door(getattr(cast, who), cast.case).get("visit_new").status_code == 403
    assert send(cast, "LF", who=who).status_code == 403


@pytest.mark.parametrize("who", ["stranger", "removed", "other_farrier", "staff", "invited"])
def test_people_who_are_not_on_the_case_get_404(cast: Cast, who: str) -> None:
    assert Door(getattr(cast, who), cast.case).get("visit_new").status_code == 404
    assert send(cast, "LF", who=who).status_code == 404


def test_a_closed_case_takes_no_visit(cast: Cast, now: datetime) -> None:
    shut(cast.case, now)
    assert send(cast, "LF").status_code == 403


def test_another_method_of_sending_gets_405(cast: Cast) -> None:
    door = Door(cast.farrier, cast.case)
    assert door.client.put(door.address("visit_new")).status_code == 405


def test_the_planned_visit_becomes_the_kept_one(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.farrier)
    build.visit(access, now, date(2026, 9, 14), next_on=date(2026, 11, 3))
    planned = Visit.objects.get(status="planned")
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert "This is the visit planned for 3 November 2026" in page
    send(cast, "LF", planned=planned.public_id, next_on="2026-12-20", **{"LF-shoe": "reset"})
    planned.refresh_from_db()
    assert (planned.status, planned.kept_on) == ("kept", date(2026, 11, 1))
    assert Visit.objects.get(status="planned").planned_on == date(2026, 12, 20)


def test_a_visit_in_between_leaves_the_planned_one_alone(cast: Cast, now: datetime) -> None:
    access = cast.access(cast.farrier)
    build.visit(access, now, date(2026, 9, 14), next_on=date(2026, 12, 3))
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert 'name="planned" id="id_planned" checked' not in page
    send(cast, "LF", **{"LF-shoe": "reset"})
    assert Visit.objects.get(status="planned").planned_on == date(2026, 12, 3)


def test_the_next_visit_is_suggested_from_the_interval(cast: Cast) -> None:
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert f'value="{date(2026, 11, 2) + timedelta(days=49)}"' in page


@pytest.mark.parametrize(
    ("field", "day", "words"),
    [
        ("kept_on", "2026-11-03", "still to come"),
        ("kept_on", "0001-01-01", "Look at the year"),
        ("kept_on", "9999-12-31", "still to come"),
        ("kept_on", "", "Which day"),
        ("kept_on", "soon", "not a day"),
        ("next_on", "2026-10-01", "must be after this one"),
        ("next_on", "9999-12-31", "Look at the year"),
        ("next_on", "0001-01-01", "must be after this one"),
    ],
)
def test_a_day_that_cannot_be_is_said_beside_its_field(
    cast: Cast, field: str, day: str, words: str
) -> None:
    answer = send(cast, "LF", **{field: day})
    assert answer.status_code == 422
    assert words in text_of(answer)


def test_the_same_form_sent_twice_is_one_visit(cast: Cast) -> None:
    for _ in range(2):
        send(cast, "LF", client_key="k1", **{"LF-toe_angle-after": "52"})
    assert Visit.objects.filter(status="kept").count() == 1
    assert Reading.objects.count() == 1


def test_the_same_key_with_other_content_answers_409_and_keeps_it(cast: Cast) -> None:
    send(cast, "LF", client_key="k1", words="first")
    answer = send(cast, "LF", client_key="k1", words="second")
    page = text_of(answer)
    assert answer.status_code == 409
    assert "second" in page
    assert "This form was saved before" in page
    assert "Not saved yet" not in page
    assert 'value="k1"' not in page  # sending it once more is meant
    assert Visit.objects.filter(status="kept").count() == 1


def test_an_empty_sheet_is_not_a_visit(cast: Cast) -> None:
    answer = send(cast)
    assert answer.status_code == 422
    assert "Nothing is written down yet" in text_of(answer)


def test_words_alone_are_a_visit(cast: Cast) -> None:
    assert send(cast, words="Could not catch him.").status_code == 302


def test_the_phone_may_forget_what_it_kept_after_a_save(cast: Cast) -> None:
    door = Door(cast.farrier, cast.case)
    page = text_of(door.client.post(door.address("visit_new"), sheet("LF"), follow=True))
    assert f'name="kept-clear" content="visit-{cast.case.public_id}"' in page


def test_enter_does_not_send_half_a_visit(cast: Cast) -> None:
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert page.index('type="submit" disabled hidden') < page.index("Save the visit")


def test_fields_bring_up_the_keypad_of_digits(cast: Cast) -> None:
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    start = page.index('name="LF-toe_angle-after"')
    assert 'inputmode="decimal"' in page[start : start + 200]


def test_near_and_off_are_said_where_they_were_chosen(cast: Cast) -> None:
    cast.farrier.side_words = "near_off"
    cast.farrier.save()
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert "Near fore" in page
    assert "Left fore" not in page
