"""Slips in what is known of horses without looking anything up."""

from tests.mutants.row import Mutant, rows

DOMAIN = (
    *rows(
        "horses/domain/trim_cycle.py",
        "tests/horses/domain/test_trim_cycle.py",
        Mutant(
            "due is overdue a day early",
            "OVERDUE if days < -GRACE_DAYS",
            "OVERDUE if days <= -GRACE_DAYS",
        ),
        Mutant("a resting horse is due", 'if horse.state != "active":', "if False:"),
        Mutant(
            "the winter's weeks come before the vet's order",
            'if horse.interval_basis == "vet":',
            'if horse.interval_basis == "vet" and not horse.interval_winter_days:',
        ),
        Mutant(
            "a planned day of today is late",
            "if planned_on is not None and planned_on < today:",
            "if planned_on is not None and planned_on <= today:",
        ),
        Mutant(
            "soon ends a day early",
            "SOON if days <= SOON_DAYS else LATER",
            "SOON if days < SOON_DAYS else LATER",
        ),
        Mutant(
            "a grown horse that was never trimmed is due",
            "(since is None and not is_young(horse.born_on, today))",
            "False",
        ),
        Mutant("March is winter", "frozenset({11, 12, 1, 2})", "frozenset({11, 12, 1, 2, 3})"),
    ),
    *rows(
        "horses/domain/shoe_state.py",
        "tests/horses/domain/test_shoe_state.py",
        Mutant(
            "a trim does not end the count of losses",
            "if event.trimmed:\n            count = 0",
            "if False:\n            count = 0",
        ),
        Mutant(
            "one loss written down twice is two",
            "count += event.kind == LOST and was_on",
            "count += event.kind == LOST",
        ),
        Mutant(
            "both of a pair are missing",
            "f for f in FEET if any(f in pair for pair in pairs) and f not in self.shod",
            "f for f in FEET if any(f in pair for pair in pairs)",
        ),
        Mutant(
            "what fell on one day has no order",
            "key=lambda e: (e.on, e.at)",
            "key=lambda e: (e.on, -e.at.timestamp())",
        ),
        Mutant(
            "hind shoes alone are a set",
            "(frozenset(), FRONTS, FRONTS | HINDS)",
            "(frozenset(), FRONTS, HINDS, FRONTS | HINDS)",
        ),
        Mutant(
            "a foot is this way since its last visit",
            "        first = event\n",
            "        pass\n",
        ),
    ),
    *rows(
        "horses/domain/severity.py",
        "tests/horses/rules/test_alert_quiet.py",
        Mutant(
            "a difference within the error is worse",
            "Z_95 = 1.96",
            "Z_95 = 0.96",
            tests=(
                "tests/horses/rules/test_alert_quiet.py",
                "tests/horses/rules/test_alert_life_machine.py",
            ),
        ),
    ),
)
