"""Writes the golden verdicts anew: `uv run python -m tests.hoof.reference.regenerate`.

Every case is judged by the code and by the reference. Where they disagree, nothing is written: one
of them is wrong. Takes a few minutes, nearly all of it the reference's simulation of the limits;
`--keep-simulated` keeps those in the file (they depend on the cases and `house.py`, not on the code).
"""

import argparse
import sys

from tests.hoof.reference.cases import CASES
from tests.hoof.reference.compare import (
    LIMITS_OFF_ALL,
    LIMITS_OFF_ONE_FOOT,
    disagreement,
    limits_off,
    share_off,
)
from tests.hoof.reference.golden import (
    PLACE,
    Entry,
    code_entry,
    read_golden,
    reference_entry,
    simulated_entry,
    write_golden,
)


def main() -> int:
    """Judges all cases and writes the file; 1 where code and reference disagree."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--keep-simulated", action="store_true")
    kept = read_golden() if parser.parse_args().keep_simulated else {}
    entries: dict[str, Entry] = {}
    trouble: list[str] = []
    sums = (0.0, 0.0, 0)
    for case in CASES:
        entry = code_entry(case)
        entry |= reference_entry(case, entry)
        if case.name in kept:
            entry["simulated_limits"] = kept[case.name]["simulated_limits"]
        else:
            entry |= simulated_entry(case)
        entries[case.name] = entry
        own = limits_off(entry["limits"], entry["simulated_limits"])
        sums = (sums[0] + own[0], sums[1] + own[1], sums[2] + own[2])
        lines = disagreement(entry["code"], entry["reference"])
        if share_off(*own) > LIMITS_OFF_ONE_FOOT:
            lines.append(f"limits are off by {share_off(*own):.1%}")
        trouble += [f"{case.name}: {line}" for line in lines]
        sys.stdout.write(f"{case.name}: {entry['code']['state']}, limits {share_off(*own):.1%}\n")
    if share_off(*sums) > LIMITS_OFF_ALL:
        trouble.append(f"limits of all feet are off by {share_off(*sums):.1%}")
    sys.stdout.write("\n".join([f"limits of all feet: {share_off(*sums):.1%}", *trouble, ""]))
    if trouble:
        return 1
    write_golden(entries)
    sys.stdout.write(f"wrote {PLACE.name}: {len(entries)} feet\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
