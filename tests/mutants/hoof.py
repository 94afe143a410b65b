"""Slips in the hoof mathematics."""

from tests.mutants.row import Mutant, rows

HOOF = (
    *rows(
        "measurements/hoof/wear.py",
        "tests/hoof/test_wear.py",
        Mutant("wear is judged over all cycles", "[-CYCLES:]", "[-2 * CYCLES :]"),
        Mutant("a toe that keeps its length has worn little", "<= 0", "< 0"),
    ),
)
