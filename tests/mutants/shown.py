"""Slips in what is shown: panels, presenters, series, verdicts in words, and the printed sheets."""

from tests.mutants.row import Mutant, rows

SHEET = "tests/caseboard/test_sheet.py"
FIT = "tests/lib/test_html_pdf_fit.py"
POINTS = "tests/caseboard/test_sheet_points.py"
PANELS = "tests/measurements/test_panels.py"
SERIES = "tests/measurements/test_series_pages.py"
QUERIES = "tests/measurements/test_queries.py"
CALENDAR = "tests/horses/queries/test_calendar_feed.py"
OPEN_BANDS = "tests/measurements/test_open_bands.py"

SHOWN = (
    *rows(
        "caseboard/sheets/plan_value.py",
        SHEET,
        Mutant(
            "an item that nobody agreed to is acted on",
            "return self.essential and not self.agreed and not self.set_alone",
            "return False",
        ),
        Mutant("an item set alone is on hold", " and not self.set_alone", ""),
        Mutant(
            "items left off the paper are not warned of",
            "{*(i.number for i in self.open_items), *self.open_gone}",
            "{*(i.number for i in self.open_items)}",
            tests=("tests/caseboard/test_sheet_plans.py", SHEET),
        ),
        Mutant("a draft looks like a sheet", "return not self.number", "return False"),
        Mutant(
            "what an old sheet did not know breaks it",
            "named = {f.name for f in fields(kind)} & set(plain)",
            "named = {f.name for f in fields(kind)}",
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
        Mutant("what ordinary feet have hangs on the door", " and alert.rule not in LEFT_OUT", ""),
    ),
    *rows(
        "caseboard/sheets/plan_items.py",
        SHEET,
        Mutant(
            "a trim may be done before it is agreed",
            "ESSENTIAL = (PlanItem.Kind.TARGET, PlanItem.Kind.TRIM,",
            "ESSENTIAL = (PlanItem.Kind.TARGET,",
        ),
        Mutant(
            "items that ended before the last sheet come again",
            "line.item.status_at > before.issued_at",
            "True",
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
        ),
        Mutant("an old value counts as measured since", "if now.on <= then.on:", "if False:"),
        Mutant(
            "a value before a trim is compared with one after",
            "for n in sheet.numbers}",
            'for n in sheet.numbers} | {(n.foot, n.quantity, "after"): n for n in sheet.numbers}',
        ),
        Mutant(
            "a band that was never measured was held",
            "sum(not band.outside for _, band in bands) - unread",
            "sum(not band.outside for _, band in bands)",
        ),
        Mutant(
            "less is more",
            'way = "less" if change < 0 else "more"',
            'way = "more" if change < 0 else "less"',
        ),
    ),
    *rows(
        "caseboard/sheets/plan_gather.py",
        SHEET,
        Mutant(
            "a painkiller is not said beside the grade", "    if grade.painkiller:", "    if False:"
        ),
        Mutant(
            "a vacant role has no place to sign",
            '*(SheetPerson(role, "", "") for role in vacant)',
            "*()",
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
            tests=("tests/caseboard/test_sheet_plans.py", SHEET),
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
            "a value outside its band says inside",
            "if look.position.place is Place.INSIDE:",
            "if look.position.place is not Place.OUTSIDE:",
            tests=(PANELS, OPEN_BANDS, "tests/measurements/test_bands.py"),
        ),
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
            "an open band has an end on the ruler",
            "0 if low is None else place(low)",
            "50 if low is None else place(low)",
            tests=(OPEN_BANDS, PANELS),
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
        Mutant(
            "a foot that nothing is known of is barefoot",
            "return states[0][1] if states else Shoeing.SHOD",
            "return states[0][1] if states else Shoeing.BAREFOOT",
            tests=(
                QUERIES,
                "tests/measurements/test_rules.py",
                "tests/measurements/test_readings_service.py",
            ),
        ),
        Mutant(
            "on one day the reading after comes before",
            "TrimState.BEFORE: 0, TrimState.BETWEEN: 1, TrimState.AFTER: 2",
            "TrimState.BEFORE: 2, TrimState.BETWEEN: 1, TrimState.AFTER: 0",
            tests=(QUERIES, "tests/measurements/test_rules.py"),
        ),
    ),
    *rows(
        "measurements/queries/dangers.py",
        "tests/measurements/test_danger_rules.py",
        Mutant(
            "a very thin sole is a thin one",
            "return self.is_sole and self.value < VERY_THIN_SOLE_MM",
            "return False",
            tests=(
                "tests/measurements/test_steps_sole.py",
                "tests/measurements/test_worksheet_pages.py",
                "tests/caseboard/test_dangers_everywhere.py",
            ),
        ),
        Mutant(
            "a bone below level is a steep one",
            "if self.value < NEGATIVE_PALMAR_ANGLE_DEG:",
            "if False:",
            tests=(
                "tests/measurements/test_worksheet_pages.py",
                "tests/caseboard/test_dangers_everywhere.py",
            ),
        ),
    ),
    *rows(
        "measurements/verdicts/words.py",
        "tests/measurements/test_range_words.py",
        Mutant("what may be nothing is sure", "if low < 0 < high:", "if False:"),
        Mutant(
            "any other angle goes the same way",
            "if low * high > 0 and value * rate > 0:",
            "if low * high > 0:",
            tests=(
                "tests/measurements/test_edge_words.py",
                "tests/measurements/test_rules.py",
                SERIES,
            ),
        ),
        Mutant(
            "a change of shoes is not said to be allowed for",
            'if result["shoeing_changes"]:',
            "if False:",
            tests=(
                "tests/measurements/test_edge_words.py",
                "tests/measurements/test_rules.py",
                SERIES,
            ),
        ),
    ),
    *rows(
        "measurements/series/words.py",
        SERIES,
        Mutant(
            "readings that lie too far apart say that nothing changes",
            "    if trend.change_is_visible:",
            "    if False:",
            tests=("tests/measurements/test_would_show_words.py", SERIES),
        ),
        Mutant(
            "fallen is risen",
            "'fallen' if rate < 0 else 'risen'",
            "'risen' if rate < 0 else 'fallen'",
        ),
        Mutant(
            "a value at the edge needs no second measuring",
            "if look.position.place is Place.AT_EDGE:",
            "if False:",
            tests=("tests/measurements/test_bands.py", SERIES, OPEN_BANDS),
        ),
    ),
    *rows(
        "horses/presenters/calendar.py",
        CALENDAR,
        Mutant(
            "a confirmed day is no news for a calendar", " + (visit.confirmed_at is not None)", ""
        ),
        Mutant("a cancelled visit stays in the calendar", "if visit.means.off:", "if False:"),
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
        ),
    ),
    *rows(
        "horses/presenters/changed_words.py",
        "tests/horses/presenters/test_history_sentences.py",
        Mutant(
            "what did not differ is told as changed",
            '        if before.get(name, "") != after.get(name, "")\n',
            "",
            tests=(
                "tests/horses/presenters/test_history_sentences.py",
                "tests/measurements/test_visit_correct.py",
                "tests/horses/views/test_history_pages.py",
            ),
        ),
    ),
)
