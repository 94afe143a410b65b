"""Slips in what is done: services and the frame that they run in."""

from tests.mutants.row import Mutant, rows

SERVICES = (
    *rows(
        "horses/services/notes.py",
        "tests/horses/services/test_notes.py",
        Mutant("a note may be written to others only", "access.role not in roles", "False"),
    ),
)
