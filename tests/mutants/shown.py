"""Slips in what is shown: panels, presenters, series, verdicts in words, and the printed sheets."""

from tests.mutants.row import Mutant, rows

SHEET = "tests/caseboard/test_sheet.py"
HOLD = "tests/caseboard/test_sheet_hold.py"
FIT = "tests/lib/test_html_pdf_fit.py"
POINTS = "tests/caseboard/test_sheet_points.py"
PANELS = "tests/measurements/test_panels.py"
SERIES = "tests/measurements/test_series_pages.py"
QUERIES = "tests/measurements/test_queries.py"
CALENDAR = "tests/horses/queries/test_calendar_feed.py"
OPEN_BANDS = "tests/measurements/test_open_bands.py"

VISIT_SET = "tests/measurements/test_visit_set.py"
NEXT_STOP = "tests/measurements/test_visit_next_stop.py"

SHOWN = (
    *rows(
        "measurements/panels/visit_set.py",
        VISIT_SET,
        Mutant(
            "a farrier's own aim is said to be asked for by the vet",
            "if target.set_role == Role.VET:",
            "if target.set_role:",
        ),
        Mutant(
            "what was measured years ago counts as lately",
            "if row.taken_on < today - RECENT:",
            "if False:",
        ),
    ),
    *rows(
        "measurements/forms/values.py",
        VISIT_SET,
        Mutant(
            "how a value was entered is believed whatever is sent",
            'return str(how) if how in EnteredHow.values else ""',
            'return str(how or "")',
        ),
        Mutant(
            "a value that was entered blind is not marked",
            "return bool(self.data.get(BLIND))",
            "return False",
        ),
    ),
    *rows(
        "horses/queries/day_places.py",
        NEXT_STOP,
        Mutant(
            "the next stop is one that is done",
            "return farriers and not stop.is_done and",
            "return farriers and",
        ),
        Mutant(
            "whoever was passed over is forgotten",
            "round_again = [*order[here + 1 :], *order[: max(here, 0)]]",
            "round_again = [*order[here + 1 :]]",
        ),
    ),
    *rows(
        "caseboard/sheets/plan_value.py",
        SHEET,
        Mutant(
            "an item that nobody agreed to is acted on",
            "return self.essential and not self.agreed and not self.set_alone",
            "return False",
            tests=(HOLD,),
        ),
        Mutant(
            "items left off the paper are not warned of",
            "{*(i.number for i in self.open_items), *self.open_gone}",
            "{*(i.number for i in self.open_items)}",
            tests=("tests/caseboard/test_sheet_plans.py", SHEET),
        ),
    ),
    *rows(
        "caseboard/sheets/plan_points.py",
        POINTS,
        Mutant(
            "a danger comes among the rest",
            "return alert.danger and alert.weight == Alert.Weight.ALERT",
            "return False",
        ),
        Mutant(
            "a flag for now comes among the rest",
            "if flag.urgency == Flag.Urgency.NOW]",
            "if False]",
        ),
        Mutant(
            "who has not answered hangs on the door",
            "return alert.rule.startswith(TROUBLES) and alert.rule not in LEFT_OUT",
            "return alert.rule not in LEFT_OUT",
        ),
    ),
    *rows(
        "caseboard/sheets/plan_items.py",
        SHEET,
        Mutant(
            "a trim may be done before it is agreed",
            "ESSENTIAL = (PlanItem.Kind.TARGET, PlanItem.Kind.TRIM,",
            "ESSENTIAL = (PlanItem.Kind.TARGET,",
            tests=(HOLD,),
        ),
        Mutant(
            "what the vet set alone outlives a no on paper",
            "line.set_alone and line.in_force",
            "line.set_alone",
            tests=("tests/horses/rules/test_set_alone.py", SHEET),
        ),
    ),
    *rows(
        "caseboard/sheets/plan_comparison.py",
        SHEET,
        Mutant(
            "a change within the error is a change on paper",
            "if abs(change) <= mdc95(then.sd, now.sd):",
            "if False:",
            tests=(
                "tests/caseboard/test_sheet_issue.py",
                "tests/caseboard/test_sheet_points.py",
                "tests/horses/rules/test_set_alone.py",
                "tests/caseboard/test_dangers_everywhere.py",
            ),
        ),
        Mutant("an old value counts as measured since", "if now.on <= then.on:", "if False:"),
        Mutant(
            "a band that was never measured was held",
            "sum(not band.outside for _, band in bands) - unread",
            "sum(not band.outside for _, band in bands)",
            tests=(HOLD,),
        ),
    ),
    *rows(
        "caseboard/sheets/plan_gather.py",
        SHEET,
        Mutant(
            "a painkiller is not said beside the grade", "    if grade.painkiller:", "    if False:"
        ),
        Mutant(
            "what the films show is not on the sheet",
            "films=tuple(films_short(reading.films, person, today)),",
            "films=(),",
            tests=("tests/caseboard/test_dangers_everywhere.py", SHEET),
        ),
        Mutant(
            "what the plan says before cutting is not on the sheet",
            "before_cutting=tuple(item_words(item) for item in reading.cutting),",
            "before_cutting=(),",
            tests=(
                "tests/caseboard/test_sheet_issue.py",
                "tests/caseboard/test_sheet_points.py",
                "tests/horses/rules/test_set_alone.py",
                "tests/caseboard/test_dangers_everywhere.py",
            ),
        ),
    ),
    *rows(
        "measurements/panels/cautions.py",
        "tests/measurements/test_worksheet_pages.py",
        Mutant(
            "a large change the other way is none",
            "if abs(change) > WARN",
            "if change > WARN",
            tests=(
                "tests/measurements/test_visit_record_values.py",
                "tests/measurements/test_worksheet_pages.py",
                PANELS,
            ),
        ),
    ),
    *rows(
        "measurements/panels/feet.py",
        PANELS,
        Mutant(
            "over is under",
            'way = "under" if side == "low" else "over"',
            'way = "over" if side == "low" else "under"',
            tests=(PANELS, OPEN_BANDS, "tests/measurements/test_bands.py"),
        ),
        Mutant(
            "a value at the edge is sure",
            'doubt = "" if outside else ", within the measuring error"',
            'doubt = ""',
            tests=(PANELS, OPEN_BANDS, "tests/measurements/test_bands.py"),
        ),
        Mutant(
            "a film that must be known is in no panel",
            "*(q for q in filmed if q not in banded)",
            "*()",
            tests=(PANELS, "tests/caseboard/test_dangers_everywhere.py"),
        ),
    ),
    *rows(
        "measurements/queries/numbers.py",
        QUERIES,
        Mutant(
            "a trim taken back counts in a series",
            "Trim.objects.in_force().filter(horse=horse)",
            "Trim.objects.filter(horse=horse)",
            tests=("tests/measurements/test_visit_void.py", QUERIES),
        ),
        Mutant(
            "a reading before a trim counts from that trim",
            "(bisect_left if before else bisect_right)(days, reading.taken_on)",
            "bisect_right(days, reading.taken_on)",
            tests=(QUERIES, "tests/measurements/test_rules.py"),
        ),
        Mutant(
            "a band counts before its day",
            "for t in bands if t.from_on <= day}",
            "for t in bands}",
            tests=("tests/measurements/test_targets_service.py", QUERIES, OPEN_BANDS),
        ),
        Mutant(
            "a band of an item that ended counts",
            "Q(plan_version=None) | on_the_plan, horse=horse",
            "horse=horse",
            tests=(
                "tests/measurements/test_targets_service.py",
                QUERIES,
                "tests/measurements/test_targets_pages.py",
            ),
        ),
        Mutant(
            "steps that not all agreed to are planned",
            " in movement and version_state(version, held).is_agreed:",
            " in movement:",
            tests=("tests/measurements/test_steps_service.py", QUERIES),
        ),
        Mutant(
            "steps planned stay planned after they were changed",
            "made = sum(first <= day <= until for day in trims)",
            "made = sum(first <= day for day in trims)",
            tests=("tests/measurements/test_steps_service.py", QUERIES),
        ),
    ),
    *rows(
        "measurements/verdicts/words.py",
        "tests/measurements/test_range_words.py",
        Mutant("what may be nothing is sure", "if low < 0 < high:", "if False:"),
    ),
    *rows(
        "measurements/series/words.py",
        SERIES,
        Mutant(
            "fallen is risen",
            "'fallen' if rate < 0 else 'risen'",
            "'risen' if rate < 0 else 'fallen'",
        ),
    ),
    *rows(
        "horses/presenters/calendar.py",
        CALENDAR,
        Mutant(
            "a confirmed day is no news for a calendar", " + (visit.confirmed_at is not None)", ""
        ),
        Mutant(
            "a kept visit stands on its planned day",
            "on = visit.kept_on or planned_on",
            "on = planned_on",
        ),
        Mutant(
            "a visit nobody confirmed is sure",
            '"CONFIRMED" if sure else "TENTATIVE"',
            '"CONFIRMED"',
        ),
    ),
    *rows(
        "horses/presenters/history_sides.py",
        "tests/horses/presenters/test_near_and_off.py",
        Mutant(
            "what people typed is put into other words",
            'part if part.startswith("“") else own_words(part, person)',
            "own_words(part, person)",
        ),
    ),
    *rows(
        "horses/presenters/alert_words.py",
        "tests/horses/views/test_alerts_pages.py",
        Mutant(
            "a danger is said to be quiet without a vet",
            "if alert.danger and access.role != Role.VET:",
            "if False:",
            tests=("tests/horses/presenters/test_alert_words.py",),
        ),
    ),
    *rows(
        "measurements/queries/reading_values.py",
        (QUERIES, "tests/measurements/test_rules.py"),
        Mutant(
            "on one day the reading after comes before",
            "TrimState.BEFORE.value: 0, TrimState.BETWEEN.value: 1, TrimState.AFTER.value: 2",
            "TrimState.BEFORE.value: 2, TrimState.BETWEEN.value: 1, TrimState.AFTER.value: 0",
        ),
    ),
)
