"""When there is no plan: the smallest set of facts that cannot hold together.

A deletion filter: each fact is lifted in turn; if what is left is still impossible without it, it is no part of the
conflict and stays lifted. What remains is impossible together, and possible as soon as any one of it is lifted.
Whether something is possible says the exact model of the must-do core, in a process of its own.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from typing import IO, Any

from planner.helper import PROJECT
from planner.jsonio import scenario_to_json
from planner.relief.facts_held import Fact, bare, facts_of, lifted
from planner.scenario import Scenario

SECONDS = 20.0
Possible = Callable[[Scenario], bool | None]  # None: not decided in the time


def conflict(scenario: Scenario, *, seconds: float = SECONDS) -> tuple[Fact, ...]:
    """The facts that together leave no plan, and each of which is needed for that; empty if there may be a plan.

    If the time runs out the set may hold facts that are not needed. It is minimal, not the smallest there is.
    """
    end = soon(seconds)
    with Judge(end) as judge:
        return filtered(scenario, judge.possible, lambda: time.monotonic() >= end)


def soon(seconds: float) -> float:
    """The moment ``seconds`` from now, on the clock that :class:`Judge` keeps to."""
    return time.monotonic() + seconds


def filtered(scenario: Scenario, possible: Possible, over: Callable[[], bool]) -> tuple[Fact, ...]:
    """The deletion filter over :func:`facts_of`, first in groups of one code, then fact by fact."""
    scenario = bare(scenario)
    facts = facts_of(scenario)
    if possible(scenario) is not False:
        return ()
    out: list[Fact] = []
    groups = [[f for f in facts if f.code == code] for code in dict.fromkeys(f.code for f in facts)]
    for group in [*groups, *([f] for f in facts)]:
        rest = [f for f in group if f not in out]
        if rest and not over() and possible(lifted(scenario, [*out, *rest])) is False:
            out += rest
    return tuple(f for f in facts if f not in out)


class Judge:
    """The process that decides, asked one scenario after another."""

    def __init__(self, end: float) -> None:
        self._end = end
        self._process: subprocess.Popen[str] | None = None

    def __enter__(self) -> Judge:
        paths = [str(PROJECT), *filter(None, [os.environ.get("PYTHONPATH")])]
        try:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "planner.relief.judge"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
                env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
            )
        except OSError:  # then nothing is decided, and nothing is claimed
            self._process = None
        return self

    def __exit__(self, *_: object) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            for pipe in (self._process.stdin, self._process.stdout):
                if pipe is not None:
                    pipe.close()

    def possible(self, scenario: Scenario) -> bool | None:
        left = self._end - time.monotonic()
        if self._process is None or left <= 0:
            return None
        assert self._process.stdin is not None and self._process.stdout is not None
        said = _asked(self._process.stdin, self._process.stdout, scenario_to_json(scenario), left)
        return None if said is None else {"feasible": True, "infeasible": False}.get(said)


def _asked(to: IO[str], back: IO[str], scenario: dict[str, Any], seconds: float) -> str | None:
    """The verdict; None if the process has ended. It keeps to ``seconds`` by itself."""
    try:
        to.write(json.dumps({"scenario": scenario, "seconds": seconds}) + "\n")
        to.flush()
        line = back.readline()
        return str(json.loads(line)["verdict"]) if line else None
    except (OSError, ValueError, KeyError):
        return None
