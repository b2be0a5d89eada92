"""`manage.py test`: the whole suite with pytest, then what touches the database once more on PostgreSQL.

Arguments go to pytest. With arguments the PostgreSQL lane runs only when `--postgres` is among them.
"""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from studio.measuring.chromium import chromium
from tests.lanes.postgres import Cluster, NoPostgres, find_binaries

PROJECT = Path(__file__).resolve().parents[2]
DATABASE_TESTS = ["tests", "--ignore=tests/planner"]
NO_TESTS = 5  # pytest's exit code for an empty selection


@dataclass(frozen=True)
class Outcome:
    """How one lane ended; `code` is None for a lane that was left out."""

    name: str
    code: int | None
    words: str


def main(arguments: list[str]) -> int:
    """Run the lanes and return the first exit code that is not 0."""
    chosen = [word for word in arguments if word != "--postgres"]
    outcomes = [_main_lane(chosen)]
    outcomes.append(_postgres_lane(chosen, asked="--postgres" in arguments))
    outcomes.append(_browser_note())
    print("\nLanes:")
    for outcome in outcomes:
        print(f"  {outcome.name}: {outcome.words}")
    return next((outcome.code for outcome in outcomes if outcome.code), 0)


def _main_lane(chosen: list[str]) -> Outcome:
    code = _pytest([*_processes(chosen), *chosen], dict(os.environ, DATABASE_URL=""))
    return Outcome("SQLite", code, _words(code))


def _postgres_lane(chosen: list[str], *, asked: bool) -> Outcome:
    name = "PostgreSQL"
    if chosen and not asked:
        return Outcome(name, None, "left out, since only chosen tests were run (add --postgres to run it too)")
    binaries = find_binaries()
    if binaries is None:
        return Outcome(name, None, "left out, since no PostgreSQL server is installed (apt-get install postgresql)")
    try:
        with Cluster(binaries) as cluster:
            marks = ["-m", "not browser and not one_lane"]
            selection = chosen or DATABASE_TESTS
            code = _pytest([*_processes(chosen), *marks, *selection], dict(os.environ, DATABASE_URL=cluster.url))
    except NoPostgres as error:
        return Outcome(name, 1, f"the throw-away server did not start: {error}")
    return Outcome(name, 0 if code == NO_TESTS and chosen else code, _words(code))


def _browser_note() -> Outcome:
    path = chromium()
    words = f"with {path}" if path else "skipped, since no Chromium was found (apt-get install chromium)"
    return Outcome("Browser", None, words)


def _processes(chosen: list[str]) -> list[str]:
    # A few chosen tests start sooner in one process, and a debugger needs it.
    if chosen or (os.cpu_count() or 1) < 2:
        return []
    return ["-n", "2", "--dist", "loadfile"]


def _pytest(arguments: list[str], environment: dict[str, str]) -> int:
    sys.stdout.flush()
    line = [sys.executable, "-m", "pytest", *arguments]
    return subprocess.call(line, cwd=PROJECT, env=environment, stdin=subprocess.DEVNULL)


def _words(code: int) -> str:
    words = {0: "passed", 1: "failed", 2: "stopped", NO_TESTS: "no test was selected"}
    return words.get(code, f"ended with code {code}")
