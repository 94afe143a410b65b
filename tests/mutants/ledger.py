"""Slips in the history and the fingerprints."""

from tests.mutants.row import Mutant, rows

HISTORY = ("tests/horses/ledger/test_fingerprints.py", "tests/horses/ledger/test_history.py")
SEALS = ("tests/horses/ledger/test_fingerprints.py", "tests/horses/ledger/test_row_seals.py")
TRIGGERS = "tests/horses/ledger/test_triggers.py"

LEDGER = (
    *rows(
        "horses/ledger/append.py",
        HISTORY,
        Mutant(
            "the chain does not hold the line before",
            'f"{prev_hash}\\n{canonical}"',
            'f"{canonical}"',
        ),
        Mutant(
            "the fingerprint of a line changes unnoticed",
            'f"{prev_hash}\\n{canonical}"',
            'f"{prev_hash} {canonical}"',
        ),
        Mutant("lines are numbered from another start", "case.last_seq + 1", "case.last_seq + 2"),
        Mutant(
            "a line keeps no fingerprints of rows",
            "if seals := rows_sealed(told.rows):",
            "if seals := rows_sealed(()):",
            tests=SEALS,
        ),
        Mutant(
            "the end of the chain is not kept",
            "Case.objects.filter(pk=case.pk).update(last_seq=case.last_seq, last_hash=case.last_hash)",
            "pass",
        ),
    ),
    *rows(
        "horses/ledger/canonical.py",
        HISTORY,
        Mutant("the order of keys changes the text", "sort_keys=True, ", ""),
        Mutant("a number that is none is written", ", allow_nan=False", ""),
        Mutant(
            "the canonical text changes unnoticed",
            'separators=(",", ":")',
            'separators=(", ", ":")',
        ),
        Mutant(
            "letters are written another way unnoticed", "ensure_ascii=False", "ensure_ascii=True"
        ),
    ),
    *rows(
        "horses/ledger/verify.py",
        HISTORY,
        Mutant("a missing line is not found", "if line.seq != expected:", "if False:"),
        Mutant(
            "a line that follows another is not found",
            "if line.prev_hash != prev_hash:",
            "if False:",
        ),
        Mutant(
            "a changed text is not found",
            "line.line_hash != line_hash(line.prev_hash, line.canonical)",
            "False",
        ),
        Mutant(
            "changed columns are not found",
            "line.canonical != canonical_text(_stored_fields(case, line))",
            "False",
        ),
        Mutant(
            "a line off the end is not found",
            "if (case.last_seq, case.last_hash) != (expected - 1, prev_hash):",
            "if False:",
        ),
        Mutant(
            "changed rows are not found",
            "for line, what in changed_rows(lines):",
            "for line, what in changed_rows(()):",
            tests=SEALS,
        ),
    ),
    *rows(
        "horses/ledger/verify_rows.py",
        SEALS,
        Mutant(
            "a row that is gone is not found", "if public_id not in there:", "if False:", lives=""
        ),
        Mutant(
            "a row that was put in is not found",
            'count := sum(f"{label}:{public_id}" not in known',
            'count := sum(f"{label}:{public_id}" in set()',
        ),
    ),
    *rows(
        "horses/ledger/row_seal.py",
        SEALS,
        Mutant("zero is no value", 'value is None or value == "" or value is False', "not value"),
        Mutant("51 and 51.0 differ", 'f"{value.normalize():f}"', 'f"{value:f}"'),
        Mutant(
            "one moment in two zones differs",
            "value.astimezone(UTC).isoformat()",
            "value.isoformat()",
        ),
        Mutant("fingerprints of rows change unnoticed", "LENGTH = 32", "LENGTH = 30"),
    ),
    *rows(
        "horses/ledger/triggers.py",
        TRIGGERS,
        Mutant("kept rows may be changed", "BEFORE UPDATE ON", "BEFORE INSERT ON", fresh=True),
        Mutant(
            "kept rows may be deleted",
            'BEFORE DELETE ON "{table}" {refuse}',
            'BEFORE DELETE ON "{table}" BEGIN SELECT 1; END',
            fresh=True,
        ),
    ),
    *rows(
        "horses/ledger/photo_check.py",
        "tests/caseboard/test_backup_photos.py",
        Mutant(
            "a photo that was changed passes",
            'return "" if file_sha256(name) == sha256 else CHANGED',
            'file_sha256(name)\n        return ""',
            tests=(
                "tests/horses/views/test_photo_pages.py",
                "tests/caseboard/test_backup_photos.py",
                "tests/horses/services/test_photos.py",
            ),
        ),
    ),
)
