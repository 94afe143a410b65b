"""The farrier writes up a visit: quick to fill in, questioned when odd, and never half saved."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.http import HttpResponse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from horses.models import FootWork, PlanItemOutcome, Trim, Visit
from horses.queries.plan_lines import plan_for
from horses.services.plan_end import plan_item_finish
from measurements.models import Reading
from tests import build
from tests.cast import Cast
from tests.horses.doors import Door, shut, text_of, told, verbs

pytestmark = pytest.mark.usefixtures("clock_stands")
FEET = ("LF", "RF", "LH", "RH")


def sheet(*trimmed: str, **fields: Any) -> dict[str, Any]:
    """What a browser sends for an untouched form of a shod horse, with the feet given trimmed."""
    sent = {"kept_on": "2026-11-01", "angle_method": "gauge", "length_method": "tape"}
    for foot in trimmed:
        sent |= {f"{foot}-trimmed": "on", f"{foot}-shoe": "none", f"{foot}-left": "shod"}
    return sent | fields


def send(cast: Cast, *trimmed: str, who: str = "farrier", **fields: Any) -> HttpResponse:
    return Door(getattr(cast, who), cast.case).post("visit_new", **sheet(*trimmed, **fields))


def values() -> dict[tuple[str, str, str], Decimal]:
    return {(r.foot, r.quantity, r.trim_state): r.value for r in Reading.objects.all()}


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


def test_the_last_values_stand_beside_the_fields(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, [52, 51.5])
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert "was 49.4°, 23 Oct" in page
    assert "was 51.5°, 23 Oct" in page


def test_the_last_values_are_in_the_units_of_the_person(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, [83], quantity="toe_length")
    cast.farrier.length_unit = "in"
    cast.farrier.save()
    assert "was 3.27 in" in text_of(Door(cast.farrier, cast.case).get("visit_new"))


def test_what_has_a_target_or_was_measured_comes_first(cast: Cast, now: datetime) -> None:
    build.series(cast.access(cast.farrier), now, [50], quantity="frog_width")
    build.target(cast.access(cast.vet), now, quantity="heel_angle", low=Decimal(45))
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    more = page.index("More to measure on the left fore")
    assert page.index('name="LF-frog_width-before"') < more
    assert page.index('name="LF-heel_angle-before"') < more
    assert page.index('name="LF-hoof_width-before"') > more


@pytest.mark.parametrize(
    ("typed", "mm"), [("8,3 cm", "83"), ("3 1/4 in", "82.55"), ("83 mm", "83"), ("8.3", "83")]
)
def test_a_value_may_be_typed_in_any_unit(cast: Cast, typed: str, mm: str) -> None:
    send(cast, "LF", **{"LF-toe_length-after": typed})
    reading = Reading.objects.get()
    assert reading.value == Decimal(mm)
    assert reading.entered_text == typed


def test_inches_are_the_unit_of_a_person_who_chose_them(cast: Cast) -> None:
    cast.farrier.length_unit = "in"
    cast.farrier.save()
    send(cast, "LF", **{"LF-toe_length-after": "3 1/4"})
    assert Reading.objects.get().value == Decimal("82.55")


def test_an_unusual_value_asks_for_a_second_look_and_keeps_everything(cast: Cast) -> None:
    answer = send(
        cast, "LF", words="Very upright.", **{"LF-toe_angle-after": "71", "LF-words": "crack"}
    )
    page = text_of(answer)
    assert answer.status_code == 422
    assert "71 is unusual for the toe angle" in page
    assert 'name="LF-toe_angle-after-sure"' in page
    assert 'value="71"' in page
    assert "Very upright." in page
    assert 'value="crack"' in page
    assert not Reading.objects.exists()


def test_an_unusual_value_is_taken_when_it_was_measured_again(cast: Cast) -> None:
    send(cast, "LF", **{"LF-toe_angle-after": "71", "LF-toe_angle-after-sure": "on"})
    assert Reading.objects.get().confirmed_odd


def test_an_ordinary_value_is_not_marked_as_odd_by_a_stray_tick(cast: Cast) -> None:
    send(cast, "LF", **{"LF-toe_angle-after": "52", "LF-toe_angle-after-sure": "on"})
    assert not Reading.objects.get().confirmed_odd


def test_an_impossible_value_is_refused_even_when_sure(cast: Cast) -> None:
    fields = {"LF-toe_angle-after": "520", "LF-toe_angle-after-sure": "on"}
    answer = send(cast, "LF", **fields)
    assert answer.status_code == 422
    assert "cannot be the toe angle of a horse" in text_of(answer)


@pytest.mark.parametrize("typed", ["3 3/8", "3⅜", "3.375"])
def test_inches_typed_as_millimetres_are_told_how_to_be_written(cast: Cast, typed: str) -> None:
    answer = send(cast, "LF", **{"LF-toe_length-after": typed})
    assert answer.status_code == 422
    assert f"Inches? Write “{typed} in”." in text_of(answer)


@pytest.mark.parametrize("typed", ["3 3/8 mm", "2000"])
def test_what_cannot_be_inches_is_told_nothing_of_them(cast: Cast, typed: str) -> None:
    answer = send(cast, "LF", **{"LF-toe_length-after": typed})
    assert answer.status_code == 422
    assert "Inches?" not in text_of(answer)


def test_a_length_in_an_angle_field_is_refused_with_the_reason(cast: Cast) -> None:
    answer = send(cast, "LF", **{"LF-toe_angle-after": "8 cm"})
    assert answer.status_code == 422
    assert "This is an angle" in text_of(answer)


def test_the_box_to_tick_is_not_there_before_it_is_needed(cast: Cast) -> None:
    assert "-sure" not in text_of(Door(cast.farrier, cast.case).get("visit_new"))


def test_the_method_of_the_visit_counts_where_it_fits(cast: Cast) -> None:
    send(
        cast,
        "LF",
        angle_method="photo",
        length_method="photo",
        **{"LF-toe_angle-after": "52", "LF-coronary_circumference-after": "36 cm"},
    )
    methods = {r.quantity: r.method for r in Reading.objects.all()}
    assert methods == {"toe_angle": "photo", "coronary_circumference": "tape"}


def test_one_quantity_may_be_measured_with_something_else(cast: Cast) -> None:
    fields = {"LF-toe_angle-after": "52", "LF-heel_angle-after": "47", "method-heel_angle": "photo"}
    send(cast, "LF", **fields)
    methods = {r.quantity: r.method for r in Reading.objects.all()}
    assert methods == {"toe_angle": "gauge", "heel_angle": "photo"}


def test_a_first_visit_asks_how_the_foot_is_left(cast: Cast) -> None:
    answer = send(cast, "LF", **{"LF-left": ""})
    assert answer.status_code == 422
    assert "Is this foot barefoot or shod?" in text_of(answer)


@pytest.mark.parametrize(
    ("fields", "left"),
    [
        ({"LF-shoe": "new"}, "shod"),
        ({"LF-shoe": "pulled"}, "barefoot"),
        ({"LF-shoe": "reset", "LF-wedge": "3"}, "shod_wedge"),
        ({"LF-shoe": "none", "LF-left": "barefoot"}, "barefoot"),
    ],
)
def test_how_a_foot_is_left_follows_from_the_work(
    cast: Cast, fields: dict[str, str], left: str
) -> None:
    send(cast, "LF", **{"LF-left": "", **fields})
    assert FootWork.objects.get().shoeing_left == left


def test_a_foot_stays_as_it_was_when_nothing_is_said(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, date(2026, 9, 1))
    send(cast, "LF", words="As before.", **{"LF-left": "", "sure-shoe-on": "on"})
    assert FootWork.objects.filter(visit__kept_on="2026-11-01").get().shoeing_left == "shod"


def test_readings_carry_how_the_foot_came_and_how_it_was_left(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, date(2026, 9, 1))
    fields = {"LF-toe_angle-before": "49", "LF-toe_angle-after": "52"}
    send(cast, "LF", **fields, **{"LF-shoe": "pulled", "LF-left": ""})
    shoeing = {r.trim_state: r.shoeing for r in Reading.objects.all()}
    assert shoeing == {"before": "shod", "after": "barefoot"}


@pytest.mark.parametrize(
    "fields",
    [
        {"LF-shoe": "new", "LF-left": "barefoot"},
        {"LF-shoe": "pulled", "LF-left": "shod"},
        {"LF-wedge": "3", "LF-left": "barefoot"},
        {"LF-wedge": "45"},
        {"LF-wedge": "2.55"},
        {"LF-wedge": "-3"},
    ],
)
def test_work_that_contradicts_itself_is_refused(cast: Cast, fields: dict[str, str]) -> None:
    assert send(cast, "LF", **fields).status_code == 422
    assert not Visit.objects.filter(status="kept").exists()


def test_the_shoe_and_the_wedge_are_kept_in_words_and_degrees(cast: Cast) -> None:
    send(cast, "LF", **{"LF-shoe": "new", "LF-shoe_words": "wide web", "LF-wedge": "2,5"})
    work = FootWork.objects.get()
    assert (work.shoe, work.shoe_words, work.wedge_deg) == ("new", "wide web", Decimal("2.5"))


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


def plan_target(cast: Cast, now: datetime) -> Any:
    build.target(cast.access(cast.vet), now)
    return plan_for(cast.access(cast.farrier))[0]


def test_a_plan_item_is_carried_out_at_the_visit(cast: Cast, now: datetime) -> None:
    line = plan_target(cast, now)
    item = line.item.public_id
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert "Left fore toe angle" in page
    assert "Not agreed yet" in page
    fields = {f"item-{item}-result": "partly", f"item-{item}-words": "1° more next time"}
    send(cast, "LF", **fields, **{f"item-{item}-version": line.version.public_id})
    outcome = PlanItemOutcome.objects.get()
    assert (outcome.result, outcome.words) == ("partly", "1° more next time")
    assert outcome.version == line.version


def test_what_was_not_done_needs_a_reason(cast: Cast, now: datetime) -> None:
    line = plan_target(cast, now)
    item = line.item.public_id
    fields = {f"item-{item}-result": "not_done", f"item-{item}-version": line.version.public_id}
    answer = send(cast, "LF", **fields)
    assert answer.status_code == 422
    assert "Say why" in text_of(answer)


def test_an_item_changed_meanwhile_is_shown_again_with_what_was_typed(
    cast: Cast, now: datetime
) -> None:
    line = plan_target(cast, now)
    build.target(cast.access(cast.vet), now, high=Decimal(56))
    item = line.item.public_id
    fields = {
        f"item-{item}-result": "partly",
        f"item-{item}-words": "a bit",
        f"item-{item}-version": line.version.public_id,
    }
    answer = send(cast, "LF", **fields)
    page = text_of(answer)
    present = plan_for(cast.access(cast.farrier))[0].version.public_id
    assert answer.status_code == 422
    assert "changed meanwhile" in page
    assert 'value="a bit"' in page
    assert f'value="{present}"' in page


def test_an_item_withdrawn_meanwhile_loses_no_words(cast: Cast, now: datetime) -> None:
    line = plan_target(cast, now)
    item = line.item.public_id
    plan_item_finish(
        access=cast.access(cast.vet),
        item_id=item,
        status="withdrawn",
        reason="No need.",
        now=now,
    )
    fields = {f"item-{item}-result": "partly", f"item-{item}-words": "half way"}
    answer = send(cast, "LF", **fields, **{f"item-{item}-version": line.version.public_id})
    assert answer.status_code == 422
    assert "half way" in text_of(answer)


def test_items_of_the_other_roles_are_not_asked_about(cast: Cast, now: datetime) -> None:
    build.plan_item(cast.access(cast.owner), now, text="Soak the hay.")
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert "Soak the hay." not in page


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
    start = page.index('name="LF-toe_angle-before"')
    assert 'inputmode="decimal"' in page[start : start + 200]


def test_near_and_off_are_said_where_they_were_chosen(cast: Cast) -> None:
    cast.farrier.side_words = "near_off"
    cast.farrier.save()
    page = text_of(Door(cast.farrier, cast.case).get("visit_new"))
    assert "Near fore" in page
    assert "Left fore" not in page


@pytest.mark.parametrize("role_words", ["<script>alert(1)</script>", "\u202eevil", "a\x00b"])
def test_hostile_words_are_kept_harmless(cast: Cast, role_words: str) -> None:
    send(cast, "LF", words=role_words, **{"LF-words": role_words})
    kept = Visit.objects.get(status="kept")
    assert "\x00" not in kept.words
    assert "\u202e" not in kept.words


def test_words_that_are_too_long_are_kept_and_said(cast: Cast) -> None:
    answer = send(cast, "LF", words="x" * 6000)
    assert answer.status_code == 422
    assert "x" * 6000 in text_of(answer)


HOSTILE = st.one_of(
    st.sampled_from(
        [
            "NaN",
            "1e308",
            "-1",
            "inf",
            "",
            " ",
            "5\x002",
            "⁵²",
            "5²",
            "½",
            "1,100",
            "52°" * 20,
            "0001-01-01",
            "9999-12-31",
            "'; --",
            "<b>",
            "\u202e52",
            "x" * 5000,
        ]
    ),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=30),
)
NAMES = st.sampled_from(
    [
        "kept_on",
        "next_on",
        "planned",
        "words",
        "angle_method",
        "length_method",
        "client_key",
        "LF-trimmed",
        "LF-shoe",
        "LF-wedge",
        "LF-left",
        "LF-words",
        "LF-toe_angle-before",
        "LF-toe_angle-after",
        "LF-toe_length-after",
        "RH-sole_depth-after",
        "method-toe_angle",
        "LF-toe_angle-after-sure",
        "item-zzz-result",
        "unknown",
    ]
)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(sent=st.dictionaries(NAMES, st.one_of(HOSTILE, st.lists(HOSTILE, max_size=3))))
def test_no_form_breaks_the_page(cast: Cast, sent: dict[str, Any]) -> None:
    assert send(cast, "LF", **sent).status_code in (302, 422, 409)
