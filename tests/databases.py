"""Which tests `.ci/run` asks of both databases, and which of the embedded one alone.

Asked of both is what may differ: services, races, locks, triggers, queries, rules, jobs, counters,
backups, outages, and each page once by everybody (tests/access/test_matrix.py), so that all that is
read is read there too. Below stands what is the same on either: what pages say, what paper and
mathematics look like, what commands print. What is new is asked of both until it is named here.

`pytest -m database` runs those asked of both. With `--draw COMMIT` it runs those in EACH_TIME, whose
subject is the database itself, and a third of the other files, another third for each commit, as the
slips of tests/mutants are drawn. Every test is run on the embedded database each time. Decided
2026-11-29: all of them took twelve minutes on PostgreSQL beside seventeen on the embedded one,
and what differs by its nature lies in EACH_TIME's subjects: locks, races, triggers, raw queries.
Not chosen: a fixed third, which would never ask the rest of PostgreSQL.
"""

import hashlib
from fnmatch import fnmatch

DRAWN_OF = 3  # house default

# Locks, races, triggers, queries, limits, backups, outages, and each page once by everybody.
EACH_TIME = [
    "tests/access/*",
    "tests/bench/*",
    "tests/caseboard/test_backup*.py",
    "tests/caseboard/test_connections.py",
    "tests/caseboard/test_demo.py",
    "tests/caseboard/test_drafts_*.py",
    "tests/caseboard/test_drill.py",
    "tests/caseboard/test_pool.py",
    "tests/caseboard/test_readiness.py",
    "tests/caseboard/test_restore_killed.py",
    "tests/caseboard/test_sign_in_codes.py",
    "tests/caseboard/test_two_processes.py",
    "tests/caseboard/test_worker.py",
    "tests/caseboard/test_write_limits.py",
    "tests/chaos/*",
    "tests/horses/accounts/*",
    "tests/horses/jobs/*",
    "tests/horses/ledger/*",
    "tests/horses/queries/*",
    "tests/horses/services/test_*races.py",
    "tests/horses/services/test_every_service.py",
    "tests/horses/services/test_idempotency.py",
    "tests/horses/services/test_interleavings.py",
    "tests/lib/*",
    "tests/test_*.py",
]

ALIKE = [
    "tests/access/test_fields.py",
    "tests/access/test_unknown_names.py",
    "tests/bench/pictures/*",
    "tests/bench/test_goals.py",
    "tests/bench/test_urgent.py",
    "tests/browser/*",
    "tests/caseboard/glance/test_headline.py",
    "tests/caseboard/test_barn_sheets.py",
    "tests/caseboard/test_bundles.py",
    "tests/caseboard/test_checks.py",
    "tests/caseboard/test_compress.py",
    "tests/caseboard/test_dangers_everywhere.py",
    "tests/caseboard/test_demo_command.py",
    "tests/caseboard/test_demo_lan.py",
    "tests/caseboard/test_demo_series.py",
    "tests/caseboard/test_door.py",
    "tests/caseboard/test_env_example.py",
    "tests/caseboard/test_mailbox.py",
    "tests/caseboard/test_marks_font.py",
    "tests/caseboard/test_picture_card.py",
    "tests/caseboard/test_prepare.py",
    "tests/caseboard/test_preview_as_role.py",
    "tests/caseboard/test_production_settings.py",
    "tests/caseboard/test_setup_*.py",
    "tests/caseboard/test_sheet_*.py",
    "tests/caseboard/test_start.py",
    "tests/caseboard/test_styleguide.py",
    "tests/caseboard/test_templates.py",
    "tests/caseboard/test_vendored.py",
    "tests/caseboard/test_warning_cut.py",
    "tests/caseboard/test_words_on_every_page.py",
    "tests/hoof/*",
    "tests/horses/domain/*",
    "tests/horses/presenters/*",
    "tests/horses/views/*",
    "tests/lib/test_address_key.py",
    "tests/lib/test_diagram.py",
    "tests/lib/test_errors.py",
    "tests/lib/test_form_renderer.py",
    "tests/lib/test_html_pdf*.py",
    "tests/lib/test_log*.py",
    "tests/lib/test_mailbox.py",
    "tests/lib/test_numbers.py",
    "tests/lib/test_own_lengths.py",
    "tests/lib/test_phone.py",
    "tests/lib/test_photo*.py",
    "tests/lib/test_private.py",
    "tests/lib/test_spans.py",
    "tests/lib/test_text_safe.py",
    "tests/lib/test_words.py",
    "tests/measurements/pictures/test_card_photo.py",
    "tests/measurements/pictures/test_measure_picture.py",
    "tests/measurements/pictures/test_points_file.py",
    "tests/measurements/test_band*.py",
    "tests/measurements/test_charts.py",
    "tests/measurements/test_edge_words.py",
    "tests/measurements/test_judged_chart.py",
    "tests/measurements/test_range_words.py",
    "tests/measurements/test_would_show_words.py",
    "tests/mutants/*",
    "tests/test_asvs.py",
    "tests/test_documents.py",
    "tests/test_imports.py",
    "tests/test_kept_alive.py",
    "tests/test_requirements.py",
    "tests/test_suite.py",
    "tests/test_twins.py",
    "*_pages.py",
]


def differs(path: str) -> bool:
    """Whether the tests of this file, named from the top of the tree, are asked of both."""
    return not any(fnmatch(path, pattern) for pattern in ALIKE)


def drawn(path: str, commit: str) -> bool:
    """Whether the tests of this file are asked of both at that commit."""
    if any(fnmatch(path, pattern) for pattern in EACH_TIME):
        return True
    digest = hashlib.sha256(f"{commit} {path}".encode()).hexdigest()
    return int(digest, 16) % DRAWN_OF == 0
