"""Slips in what is read from a spreadsheet."""

from tests.mutants.row import Mutant, rows

IMPORT = "tests/measurements/test_import.py"

IMPORTING = (
    *rows(
        "measurements/importing/table.py",
        IMPORT,
        Mutant("a reading of today is refused", "if day > today:", "if day >= today:"),
        Mutant("tables with tabs are not read", 'max(";\\t,", key', 'max(";,", key'),
        Mutant("a day to come is taken", "if day > today:", "if False:"),
        Mutant("a slip in the year is taken", "if day < EARLIEST:", "if False:"),
        Mutant(
            "a first day of the records is refused", "if day < EARLIEST:", "if day <= EARLIEST:"
        ),
        Mutant(
            "what cannot be is taken when it was checked",
            "if looks is RangeCheck.REFUSE:",
            "if looks is RangeCheck.REFUSE and not take_unusual:",
        ),
        Mutant(
            "unusual values are taken unasked",
            "looks is RangeCheck.CONFIRM and not take_unusual",
            "False",
        ),
        Mutant(
            "a value and its column may differ in the unit",
            "if unit is not None and entered.unit != unit:",
            "if False:",
        ),
        Mutant(
            "a length without a unit is millimetres",
            "if unit is None and _has_no_unit(text):",
            "if False:",
        ),
        Mutant("any method fits any quantity", "if method not in quantity.methods:", "if False:"),
        Mutant("a column named twice is taken", "    if twice:", "    if False:"),
        Mutant(
            "a bad row counts once for each of its mistakes",
            "tuple(problems), len(bad))",
            "tuple(problems), len(problems))",
        ),
        Mutant("a table without end is read", "if reader.line_num > MOST_ROWS:", "if False:"),
    ),
    *rows(
        "measurements/importing/words.py",
        IMPORT,
        Mutant("near is right", "side in ('left', 'near')", "side in ('left', 'off')"),
        Mutant("back is fore", "'F' if end == 'front' else 'H'", "'H' if end == 'front' else 'F'"),
    ),
    *rows(
        "measurements/management/commands/import_readings.py",
        IMPORT,
        Mutant(
            "bad rows keep nothing out",
            'if table.problems and not options["skip_bad"]:',
            "if False:",
        ),
        Mutant("a row that is there is read again", "if row.identity in known:", "if False:"),
        Mutant(
            "a row that stands twice is read twice",
            'known[row.identity] = f"line {row.line}"',
            "pass",
        ),
        Mutant(
            "who left reads it in",
            "Membership.objects.filter(case=case, left_at=None)",
            "Membership.objects.filter(case=case)",
        ),
        Mutant("nobody is asked for the right", 'require(access, "reading.import")', "pass"),
        Mutant(
            "how the feet were shod is forgotten",
            "shoeing=shoeing,\n        confirmed_odd",
            'shoeing="",\n        confirmed_odd',
        ),
    ),
    *rows(
        "measurements/services/readings.py",
        IMPORT,
        Mutant(
            "all readings of an old record are of its first day",
            'taken_on=on, source="import"',
            'taken_on=min(days), source="import"',
        ),
    ),
)
