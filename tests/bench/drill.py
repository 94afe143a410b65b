"""The drill: an installation is saved, lost and brought back, and nothing may differ.

    uv run python -m tests.bench.drill                 100 cases, 10,000 readings, 500 photos
    uv run python -m tests.bench.drill --cases 4 --readings 40 --photos 4

From SQLite to SQLite; with PostgreSQL at DRILL_DATABASE_URL (a server; databases of its own are
made and dropped) also PostgreSQL to PostgreSQL and across, both ways. The goal is a minute for
saving and bringing back together; then a backup is spoilt in every
way of drill_corruptions.py.
"""

import argparse
import json
import os
import shutil
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import psycopg

from tests.bench.drill_corruptions import CORRUPTIONS
from tests.caseboard.commands import environment
from tests.chaos.processes import python, run

GOAL_S = 60.0


@dataclass(frozen=True)
class Size:
    cases: int
    readings: int
    photos: int
    photo_kb: int = 250


@dataclass
class Drill:
    """Empty installations on demand, and what was found on the way between them."""

    folder: Path
    server_url: str = ""
    made: list[str] = field(default_factory=list)

    def place(self, vendor: str, name: str) -> dict[str, str]:
        """The environment of an empty installation: its database migrated, its folder new."""
        state = self.folder / name
        state.mkdir()
        if vendor == "sqlite":
            template = self.folder / "migrated.sqlite3"
            if template.exists():  # migrating takes longer than everything else here
                shutil.copy(template, state / "caseboard.sqlite3")
            else:
                run(python("manage.py", "migrate", "-v", "0"), environment(state))
                run(python("manage.py", "createcachetable"), environment(state))
                with_log = state / "caseboard.sqlite3"
                run(python("-c", CHECKPOINT, str(with_log)), environment(state))
                shutil.copy(with_log, template)
            env = environment(state)
        else:
            database = f"caseboard_drill_{os.getpid()}_{name}"
            self._server(f"CREATE DATABASE {database}")
            self.made.append(database)
            env = environment(state, DATABASE_URL=f"{self.server_url}/{database}")
            run(python("manage.py", "migrate", "-v", "0"), env)
            run(python("manage.py", "createcachetable"), env)
        return env

    def fill(self, env: dict[str, str], size: Size) -> None:
        words = [f"--{k.replace('_', '-')}={v}" for k, v in vars(size).items()]
        run(python("-m", "tests.bench.drill_fill", *words), env)

    def backup(self, env: dict[str, str], into: str) -> tuple[Path, float]:
        began = time.perf_counter()
        said = run(python("manage.py", "backup", str(self.folder / into)), env)
        return Path(said.strip().splitlines()[-1]), time.perf_counter() - began

    def restore(self, env: dict[str, str], backup: Path) -> float:
        began = time.perf_counter()
        run(python("manage.py", "restore", str(backup)), env)
        return time.perf_counter() - began

    def history_holds(self, env: dict[str, str]) -> bool:
        try:
            run(python("manage.py", "verify_history"), env)
        except RuntimeError:
            return False
        return True

    def _server(self, statement: str) -> None:
        with psycopg.connect(f"{self.server_url}/postgres", autocommit=True) as server:
            server.execute(statement)  # a name of our own making

    def end(self) -> None:
        for database in self.made:
            self._server(f"DROP DATABASE IF EXISTS {database} WITH (FORCE)")


CHECKPOINT = (
    "import sqlite3, sys; sqlite3.connect(sys.argv[1]).execute('PRAGMA wal_checkpoint(TRUNCATE)')"
)


def content_of(backup: Path) -> dict[str, Any]:
    """What must be equal: counts and fingerprints of all rows and photos."""
    manifest = json.loads((backup / "manifest.json").read_text())
    tables = {label: (t["rows"], t["sha256"]) for label, t in manifest["tables"].items()}
    return {"tables": tables, "media": manifest["media"]}


def way(drill: Drill, vendors: tuple[str, ...], size: Size) -> dict[str, Any]:
    """From the first database to each next one; what is there at the end, against the beginning."""
    tag = "_".join(vendors)
    env = drill.place(vendors[0], f"{tag}_0")
    drill.fill(env, size)
    first, saved_s = drill.backup(env, f"{tag}_saved_0")
    backup, back_s = first, []
    holds = drill.history_holds(env)
    for number, vendor in enumerate(vendors[1:], start=1):
        env = drill.place(vendor, f"{tag}_{number}")
        back_s.append(drill.restore(env, backup))
        holds = drill.history_holds(env) and holds
        # Saved once more from where it came back to: the comparison does not take restore's word.
        backup, _ = drill.backup(env, f"{tag}_saved_{number}")
    said = content_of(first)
    return {
        "way": " -> ".join(vendors),
        "rows": sum(rows for rows, _ in said["tables"].values()),
        "readings": said["tables"]["measurements.Reading"][0],
        "photos": len(said["media"]),
        "backup_s": round(saved_s, 1),
        "restore_s": [round(s, 1) for s in back_s],
        "equal": said == content_of(backup),
        "history_holds": holds,
        "backup": first,
        "env": env,
    }


def corruptions_missed(drill: Drill, backup: Path, env: dict[str, str]) -> list[str]:
    """The ways to spoil it that `restore --verify` did not find."""
    missed = []
    for name, (spoil, words) in CORRUPTIONS.items():
        spoilt = drill.folder / "spoilt"
        shutil.copytree(backup, spoilt)
        spoil(spoilt)
        try:
            run(python("manage.py", "restore", str(spoilt), "--verify"), env)
            missed.append(name)
        except RuntimeError as error:
            if words not in str(error):
                missed.append(name)
        shutil.rmtree(spoilt)
    return missed


def wrong(found: dict[str, Any]) -> list[str]:
    checks = {
        "everything equal": found["equal"],
        "the history holds": found["history_holds"],
        "every photo": found["photos"] > 0,
    }
    return [name for name, true in checks.items() if not true]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=100)
    parser.add_argument("--readings", type=int, default=10_000)
    parser.add_argument("--photos", type=int, default=500)
    asked = parser.parse_args()
    size = Size(asked.cases, asked.readings, asked.photos)
    server = os.environ.get("DRILL_DATABASE_URL", "")
    ways: list[tuple[str, ...]] = [("sqlite", "sqlite")]
    if server:
        ways += [("postgresql", "postgresql"), ("sqlite", "postgresql", "sqlite")]
    folder = Path(tempfile.mkdtemp(prefix="drill-"))
    drill = Drill(folder, server)
    trouble = []
    try:
        for vendors in ways:
            found = way(drill, vendors, size)
            backup, env = found.pop("backup"), found.pop("env")
            trouble += wrong(found)
            if len(vendors) == 2:
                total = found["backup_s"] + found["restore_s"][0]
                found["goal"] = f"{total:.1f} of {GOAL_S:.0f} s"
                trouble += ["within a minute"] if total > GOAL_S else []
                missed = corruptions_missed(drill, backup, env)
                found["corruptions_found"] = (
                    f"{len(CORRUPTIONS) - len(missed)} of {len(CORRUPTIONS)}"
                )
                trouble += missed
            print(json.dumps(found), flush=True)
    finally:
        drill.end()
    if trouble:
        sys.exit(f"not as it should be: {', '.join(trouble)} (see {folder})")
    shutil.rmtree(folder)
    print("Everything came back equal.")


if __name__ == "__main__":
    main()
