"""Slips in the rules, and in the engine and the life of alerts."""

from tests.mutants.row import Mutant, rows

ENGINE = "tests/horses/rules/test_engine.py"
CALENDAR = "tests/horses/rules/test_calendar.py"
SCHEDULE = "tests/horses/rules/test_schedule.py"
RULE_SHOES = "tests/horses/rules/test_shoes.py"
LAMENESS = "tests/horses/rules/test_lameness.py"
QUIET = "tests/horses/rules/test_alert_quiet.py"

RULES = (
    *rows(
        "horses/rules/engine.py",
        ENGINE,
        Mutant(
            "a rule that fails clears what it had found",
            "if all_ran:\n        own =",
            "if True:\n        own =",
        ),
        Mutant(
            "a rule that fails silences the others",
            "            all_ran = False\n    return found, all_ran",
            "            raise\n    return found, all_ran",
        ),
        Mutant(
            "a horse out of care is judged",
            "if horse.state != Horse.State.ACTIVE:\n        lives",
            "if False:\n        lives",
        ),
        Mutant(
            "a moment that has passed is foreseen",
            "if moment > now]",
            "]",
            tests=(
                "tests/horses/rules/test_engine.py",
                "tests/horses/rules/test_schedule.py",
                "tests/caseboard/test_rule_moments.py",
                "tests/caseboard/test_board.py",
            ),
        ),
        Mutant(
            "the last moment ahead is waited for",
            "return min(moments), all_ran",
            "return max(moments), all_ran",
            tests=(SCHEDULE, ENGINE),
        ),
        Mutant(
            "a failing look is said to be well",
            "row.failing_since = row.failing_since or now",
            "pass",
            tests=(
                "tests/horses/rules/test_engine.py",
                "tests/horses/rules/test_schedule.py",
                "tests/caseboard/test_rule_moments.py",
                "tests/caseboard/test_board.py",
            ),
        ),
        Mutant(
            "a horse that is due is asked for each minute",
            "HorseClock.objects.filter(horse_id=horse_id, due_at=due_at).update(due_at=None)",
            "True",
            tests=(SCHEDULE, ENGINE, "tests/horses/rules/test_sweep_plans.py"),
        ),
        Mutant(
            "a horse that nobody looked at is forgotten",
            "Q(clock__judged_at=None) | ",
            "",
            tests=(SCHEDULE, ENGINE),
        ),
    ),
    *rows(
        "horses/rules/alert_life.py",
        ENGINE,
        Mutant(
            "an alert shrinks to a remark",
            "weight = Alert.Weight.ALERT.value if grew else alert.weight",
            "weight = finding.weight",
        ),
        Mutant(
            "a change the other way is the same alert",
            "alert.way != finding.way",
            "False",
            tests=(QUIET, ENGINE, "tests/measurements/test_rules.py"),
        ),
        Mutant(
            "one change by two names is two alerts",
            'SAME_CHANGE = frozenset({"foot.drift", "foot.step"})',
            "SAME_CHANGE = frozenset()",
            tests=(
                QUIET,
                ENGINE,
                "tests/measurements/test_rules.py",
                "tests/horses/rules/test_alert_life_machine.py",
            ),
        ),
        Mutant(
            "an alert is cleared without a line",
            "    if alert.weight == Alert.Weight.ALERT:\n        for case",
            "    if False:\n        for case",
        ),
        Mutant(
            "of what became a danger nobody hears",
            "alert.danger and not was_danger",
            "False",
            tests=("tests/measurements/test_danger_rules.py", QUIET),
        ),
        Mutant(
            "a remark that grew is told to nobody",
            "        if was_remark:\n            self.fresh.append(alert)",
            "        if was_remark:\n            pass",
            tests=(RULE_SHOES, ENGINE, QUIET),
        ),
    ),
    *rows(
        "horses/rules/calendar.py",
        CALENDAR,
        Mutant(
            "a day that nobody spoke of is not counted from",
            "is_over(horse, today, last, asked_on)",
            "is_over(horse, today, last)",
        ),
        Mutant(
            "a visit ahead does not stand above the interval", "if ahead.exists():", "if False:"
        ),
        Mutant(
            "a stand-in that is asked already is offered again",
            "if asked.exists():",
            "if False:",
            tests=(
                "tests/horses/services/test_visits_kept.py",
                CALENDAR,
            ),
        ),
        Mutant(
            "a stand-in who left is offered",
            "stand_in=True, left_at__isnull=True",
            "stand_in=True",
            tests=(
                "tests/horses/services/test_visits_kept.py",
                CALENDAR,
            ),
        ),
        Mutant(
            "a stand-in is offered after one visit",
            "if len(denied) < DENIED_RUN:",
            "if not denied:",
            tests=(
                "tests/horses/services/test_visits_kept.py",
                CALENDAR,
            ),
        ),
        Mutant(
            "a straight foot is seen as turned",
            "if note.stance != StanceNote.Stance.STRAIGHT]",
            "]",
            tests=(
                "tests/caseboard/test_rule_moments.py",
                CALENDAR,
                "tests/horses/views/test_foals_pages.py",
            ),
        ),
    ),
    *rows(
        "horses/rules/unanswered_flags.py",
        ENGINE,
        Mutant(
            "a flag for now may wait a day",
            '"now": timedelta(hours=1)',
            '"now": timedelta(days=1)',
            tests=(
                CALENDAR,
                "tests/caseboard/test_rule_moments.py",
            ),
        ),
        Mutant(
            "an answered flag waits",
            "if now < due or not flag_is_open(flag):",
            "if now < due:",
            tests=(
                CALENDAR,
                "tests/caseboard/test_rule_moments.py",
            ),
        ),
        Mutant(
            "an item set alone waits before its day",
            "if not version.emergency or now < due:",
            "if not version.emergency:",
            tests=(
                CALENDAR,
                "tests/horses/rules/test_set_alone.py",
            ),
        ),
        Mutant(
            "a role that is not there is called silent",
            'if mark == "waiting" and role in held]',
            'if mark == "waiting"]',
            tests=("tests/horses/rules/test_set_alone.py",),
        ),
    ),
    *rows(
        "horses/rules/missed_visits.py",
        CALENDAR,
        Mutant(
            "a visit stands as one that nobody spoke of a day early",
            "planned_on__lt=now.date() - UNHEARD_AFTER",
            "planned_on__lte=now.date() - UNHEARD_AFTER",
            tests=(
                "tests/horses/services/test_visits_kept.py",
                "tests/horses/rules/test_calendar.py",
                "tests/horses/services/test_visit_word.py",
                "tests/horses/services/test_visit_life.py",
            ),
        ),
        Mutant(
            "visits denied before the last one that took place count",
            "if last is not None and last.kept_on is not None:",
            "if False:",
            tests=(
                "tests/horses/services/test_visits_kept.py",
                "tests/horses/rules/test_calendar.py",
                "tests/horses/services/test_visit_word.py",
                "tests/horses/services/test_visit_life.py",
            ),
        ),
    ),
    *rows(
        "horses/rules/schedule.py",
        SCHEDULE,
        Mutant(
            "a day that an answer names is left too early",
            "yield day_start(day + timedelta(days=1), now)",
            "yield day_start(day, now)",
            tests=(QUIET, SCHEDULE),
        ),
        Mutant(
            "an interval that is over is not renewed each day",
            "yield over if over > now else tomorrow(now)",
            "yield over",
            tests=(SCHEDULE, "tests/caseboard/test_rule_moments.py"),
        ),
        Mutant(
            "a trim that is due is looked at too late",
            "due + timedelta(days=1) + INTERVAL_GRACE",
            "due + timedelta(days=9) + INTERVAL_GRACE",
            tests=(SCHEDULE, "tests/caseboard/test_rule_moments.py"),
        ),
    ),
    *rows(
        "horses/rules/shoes.py",
        RULE_SHOES,
        Mutant(
            "a loss of this hour is an alert",
            'weight="remark" if _being_seen_to(shoes, missing, now) else "alert"',
            'weight="alert"',
        ),
        Mutant("one loss is a loss again", "LOST_AGAIN = 2", "LOST_AGAIN = 1"),
        Mutant("a horse alone is in company", " and horse.turnout == Horse.Turnout.GROUP", ""),
        Mutant("a toe that was square already is new", " and seen[-2][0] != squared", ""),
        Mutant(
            "a square toe beside a flag of another foot counts", "if not feet or foot in feet]", "]"
        ),
    ),
    *rows(
        "horses/rules/lameness.py",
        LAMENESS,
        Mutant(
            "a grade that is severe is none", "Soundness.Scale.AAEP: 4", "Soundness.Scale.AAEP: 5"
        ),
        Mutant("one grade is a rise", "RISE = 2", "RISE = 1"),
        Mutant(
            "a rise counts from long ago",
            "LOOKED_BACK = timedelta(days=182)",
            "LOOKED_BACK = timedelta(days=999)",
        ),
        Mutant("of the newest day the mildest grade counts", "worst = max(", "worst = min("),
        Mutant(
            "a horse that was sound since is lame", " and not _sound_since(rows, of_scale[-1])", ""
        ),
        Mutant("grades of both scales are one", "if row.scale == scale]", "]"),
    ),
)
