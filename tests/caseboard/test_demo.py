"""The demo's riding school: every story is there, and says what it is meant to say."""

import re
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings

from caseboard.demo import DatabaseInUse, DemoSummary, load, story_hazel, summary
from caseboard.demo.series import GAUGE_SD_DEG, TRIM_SD_DEG
from horses.models import (
    Alert,
    Case,
    Flag,
    Horse,
    Person,
    PlanItem,
    ShoeChange,
    Soundness,
    Trim,
    Visit,
)
from horses.queries.board import flag_is_open, last_trimmed_on, next_visit, open_flags_for
from horses.queries.held import contact_of
from horses.queries.plan_lines import plan_for
from horses.queries.shoes import shoes_now
from measurements.hoof.drift.priors import DRIFT_QUANTITIES
from measurements.hoof.drift.verdict import first_alarm
from measurements.models import Reading
from measurements.queries.dangers import dangers_for
from measurements.queries.numbers import ORIGIN, numbers_of
from tests.bench.drift_score import score_product
from tests.bench.drift_simulate import Scenario, simulate_many
from tests.caseboard.demo_told import NOW, QUIET, access, open_alerts, plan_line

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


def test_every_story_is_there(demo: DemoSummary) -> None:
    assert {horse.name for horse in demo.horses} == set(
        Horse.objects.values_list("name", flat=True)
    )
    assert len(demo.horses) == 12


NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)


def test_the_readme_counts_the_horses_that_are_there(demo: DemoSummary) -> None:
    readme = " ".join((Path(settings.BASE_DIR) / "README.md").read_text().split())
    said = re.search(r"riding school with (\w+) horses", readme)
    assert said is not None
    assert NUMBERS.index(said[1]) == len(demo.horses) == Horse.objects.count()


def test_everybody_can_sign_in_by_an_address_that_cannot_exist(demo: DemoSummary) -> None:
    for who in demo.people:
        assert who.email.endswith((".example", "@example.test"))
        row = Person.objects.get(email=who.email)
        assert row.name == who.name
        assert row.emailaddress_set.get().verified  # type: ignore[attr-defined]


def test_who_can_sign_in_is_known_without_loading_again(demo: DemoSummary) -> None:
    assert summary() == demo


def test_it_refuses_to_mix_with_what_is_there() -> None:
    with pytest.raises(DatabaseInUse):
        load(NOW)


@pytest.mark.parametrize("horse", QUIET)
def test_a_quiet_horse_has_nothing_open(horse: str) -> None:
    assert open_alerts(horse) == set()


@pytest.mark.parametrize("horse", ["Pebble", "Fennel", "Tansy", "Juno"])
def test_a_quiet_foot_never_seemed_to_change_slowly(horse: str) -> None:
    numbers = numbers_of(Horse.objects.get(name=horse), today=NOW.date())
    for foot in ("LF", "RF", "LH", "RH"):
        both = {key: numbers.series(foot, key) for key in ("toe_angle", "heel_angle")}
        assert first_alarm(both) is None


def test_hazels_left_fore_is_told_of_as_a_slow_change_and_nothing_else_is() -> None:
    assert open_alerts("Hazel") == {
        ("foot.drift", "LF", "alert"),
    }
    alert = Alert.objects.get(horse__name="Hazel", rule="foot.drift")
    assert "left fore toe angle has fallen" in alert.sentence
    assert "the vet's band of 48 to 53°" in alert.sentence


def test_at_no_visit_did_hazels_feet_look_wrong_by_themselves() -> None:
    assert not Alert.objects.filter(horse__name="Hazel", rule__startswith="shape.").exists()


def alarm_delay() -> int:
    """How many visits after its last steady one Hazel's left fore is told of."""
    numbers = numbers_of(Horse.objects.get(name="Hazel"), today=NOW.date())
    verdict = first_alarm({key: numbers.series("LF", key) for key in DRIFT_QUANTITIES})
    assert verdict is not None
    assert verdict.alarm_days is not None
    kept = [(day - ORIGIN).days for day in numbers.trim_days("LF")]
    return kept.index(int(verdict.alarm_days)) - story_hazel.STEADY_UNTIL


def test_hazels_slow_change_is_told_of_at_the_visit_that_the_benchmark_predicts() -> None:
    # The benchmark's own feet, moving and measured as the demo's: no wild values, its noise.
    (change,) = story_hazel.FEET["LF"].changes
    alike = Scenario(
        visits=story_hazel.VISITS,
        rate=-change.toe_angle_deg,
        error_sd=GAUGE_SD_DEG,
        trim_sd=TRIM_SD_DEG,
        wild_share=0.0,
        heel=True,
    )
    delays = sorted(score_product(simulate_many(alike, 9, seed=1)).delays)
    assert delays[0] <= alarm_delay() <= delays[-1]
    assert abs(alarm_delay() - delays[len(delays) // 2]) <= 1


def test_hazels_slow_change_can_be_read_aloud() -> None:
    words = Alert.objects.get(horse__name="Hazel", rule="foot.drift").sentence
    assert re.fullmatch(
        r"The left fore toe angle has fallen about [0-9.]+° per visit \(likely [0-9.]+ to "
        r"[0-9.]+°\) since about \w+ \w+( \d{4})?, after allowing for growth since the trim, the "
        r"time between visits and who measured and how\. The heel angle goes the same way\. "
        r"If it goes on, it leaves the vet's band of 48 to 53° just after the trim, most likely "
        r"(by the next trim|in \w+ \w+).*\.",
        words,
    )


def test_hazels_flag_was_answered_and_her_vet_has_set_a_band_the_owner_has_not_agreed_to() -> None:
    assert not any(flag_is_open(flag) for flag in Flag.objects.filter(case__horse__name="Hazel"))
    (line,) = plan_for(access("manager", "Hazel"))
    assert line.state.marks == {"owner": "waiting", "farrier": "agreed", "vet": "agreed"}


def test_two_farriers_took_turns_at_hazels_feet() -> None:
    visits = Visit.objects.filter(horse__name="Hazel", status="kept")
    by = list(visits.values_list("person_name", flat=True))
    assert (by.count("Gus Hallow"), by.count("Tessa Wrenn")) == (15, 5)


def test_a_slip_of_the_pen_was_put_right_and_kept() -> None:
    right = Reading.objects.get(horse__name="Hazel", corrects__isnull=False)
    assert right.corrects is not None
    assert (right.corrects.value, right.correction_reason[:5]) == (41, "Wrote")


def test_basalts_upright_foot_is_told_of_as_uneven_and_broken_forward() -> None:
    alerts = open_alerts("Basalt")
    assert ("shape.uneven_pair", "LF-RF", "alert") in alerts
    assert ("shape.broken_forward_axis", "RF", "alert") in alerts
    assert {subject for _, subject, weight in alerts if weight == "alert"} == {"LF-RF", "RF"}


def test_basalts_plan_is_agreed_by_all_three() -> None:
    lines = plan_for(access("vet", "Basalt"))
    assert len(lines) == 2
    assert all(line.state.is_agreed for line in lines)


def test_marigolds_left_fore_is_under_the_vets_band() -> None:
    alerts = open_alerts("Marigold")
    assert {a for a in alerts if a[2] == "alert" and a[0] != "plan.unconfirmed"} == {
        ("band.outside", "LF:toe_angle:after", "alert"),
        ("shape.thin_sole", "LF", "alert"),  # her films showed 12 and 13 mm
        ("shape.thin_sole", "RF", "alert"),
    }
    assert ("shape.underrun_heel", "LF", "remark") in alerts


def test_marigolds_plan_is_half_agreed() -> None:
    assert plan_line("Left fore toe angle").state.missing == ("owner",)
    assert plan_line("straight lines").state.is_agreed
    assert plan_line("every 5 weeks").state.marks["owner"] == "declined"
    shoes = plan_line("rolled toe")
    assert (shoes.version.number, shoes.state.missing) == (2, ("owner",))


def test_what_was_carried_out_on_marigolds_plan_is_written_down() -> None:
    items = PlanItem.objects.filter(case__horse__name="Marigold")
    results = [o.result for i in items for v in i.versions.all() for o in v.outcomes.all()]
    assert sorted(results) == ["done", "partly", "partly"]


def test_fennels_shoe_is_off_today_and_nobody_has_answered() -> None:
    (flag,) = open_flags_for(access("farrier", "Fennel"))
    assert (flag.signs, flag.feet, flag.urgency) == (["lost_shoe"], ["RF"], "today")
    assert flag.raised_at.date() == NOW.date()


def test_fennel_goes_on_three_shoes_and_has_lost_one_before() -> None:
    losses = ShoeChange.objects.filter(horse__name="Fennel").order_by("recorded_at")
    assert list(losses.values_list("foot", "kind")) == [
        ("RF", "lost"),
        ("RF", "back"),
        ("RF", "lost"),
    ]
    assert shoes_now(Horse.objects.get(name="Fennel")).missing == ("RF",)
    assert open_alerts("Fennel") == {
        ("shoes.hind_in_group", "LH-RH", "remark"),
        ("shoes.incomplete", "RF", "remark"),
    }


def test_tansy_is_trimmed_every_four_weeks_from_her_first_month_on() -> None:
    horse = Horse.objects.get(name="Tansy")
    assert horse.born_on is not None
    days = list(Trim.objects.filter(horse=horse, foot="LF").values_list("trimmed_on", flat=True))
    assert days[0] - horse.born_on == timedelta(weeks=4)
    assert {later - day for day, later in zip(days, days[1:], strict=False)} == {timedelta(weeks=4)}


def test_otters_visit_is_overdue_and_his_flag_unanswered() -> None:
    alerts = {(rule, weight) for rule, _, weight in open_alerts("Otter")}
    assert alerts == {
        ("visit.overdue", "alert"),
        ("visit.stand_in", "alert"),
        ("flag.unanswered", "alert"),
        ("wear.squared_toe", "remark"),
    }


def test_rowans_visit_counts_by_the_grooms_word_and_waits_for_the_farriers() -> None:
    visit = Visit.objects.reported().get(horse__name="Rowan")
    assert visit.word_of == "reported by Kit Farrow, not yet confirmed by Gus Hallow"
    assert last_trimmed_on(visit.horse) == visit.kept_on
    assert open_alerts("Rowan") == set()


def test_sedge_is_held_for_an_owner_without_an_account() -> None:
    board = access("farrier", "Sedge")
    contact = contact_of(board)
    assert (board.holds, contact and contact.name) == (True, "Nell Tarrow")
    assert not any(line.state.is_agreed for line in plan_for(board))


def test_linnets_first_films_and_the_jump_are_alerts_at_first_sight() -> None:
    alerts = {
        (rule, subject) for rule, subject, weight in open_alerts("Linnet") if weight == "alert"
    }
    assert alerts == {
        ("shape.thin_sole", "LF"),
        ("shape.thin_sole", "RF"),
        ("shape.negative_palmar_angle", "LF"),
        ("shape.uneven_palmar_angles", "LF-RF"),
        ("lameness.rise", "aaep"),
        ("reading.jump", "RF:toe_angle"),
    }
    raised = Alert.objects.filter(horse__name="Linnet", weight="alert")
    assert all(alert.danger for alert in raised)


def test_who_cuts_linnets_feet_reads_of_the_soles_and_of_the_wedges() -> None:
    board = access("farrier", "Linnet")
    dangers = dangers_for(board, numbers_of(board.horse, today=NOW.date()), today=NOW.date())
    lines = dangers.lines_of("LF", board.person, NOW.date())
    assert [line.split(" on the film")[0] for line in lines] == [
        "Sole 7 mm",
        "Palmar angle −4.5°",
        "Plan item 1: Front feet: no wedges, and no sole off, until the next films.",
    ]


def test_junos_case_was_closed_sound() -> None:
    case = Case.objects.get(horse__name="Juno", kind="concern")
    assert (case.outcome, case.is_open) == ("met", False)
    grades = Soundness.objects.filter(case=case, scale="aaep").order_by("seen_on")
    assert list(grades.values_list("grade", flat=True)) == [3, 2, 1, 0]


def test_junos_urgent_flag_was_closed_by_what_the_vet_said_on_the_phone() -> None:
    flag = Flag.objects.get(case__horse__name="Juno", urgency="now")
    assert [(a.kind, a.answered_role, a.closes) for a in flag.answers.all()] == [
        ("vet_phoned", "owner", True)
    ]


def test_dusk_is_paused_with_nothing_planned() -> None:
    horse = Horse.objects.get(name="Dusk")
    assert horse.state == Horse.State.PAUSED
    assert next_visit(horse) is None


def test_every_other_horse_has_its_next_visit_planned() -> None:
    for horse in Horse.objects.filter(state=Horse.State.ACTIVE).exclude(name="Otter"):
        planned = next_visit(horse)
        assert planned is not None
        assert planned.planned_on is not None
        assert planned.planned_on > NOW.date()
