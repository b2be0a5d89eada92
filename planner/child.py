"""The process that improves a plan or decides the must-do core: ``python -m planner.child``, JSON lines on its pipes.

First line in: ``{"do": "improve" | "prove" | "core", "scenario", "plan", "seconds", "seed", "number", "memory_mb"}``,
with ``"work": true`` where the seconds are units of work;
later lines ``{"plan": …}`` and ``{"bound": …}`` (better ones from elsewhere) and ``{"stop": true}``. To ``prove`` go
``share``, ``before``, ``along`` and ``line`` as well. Out: ``{"plan": …}``, ``{"phase": …}``, ``{"core": …}``,
``{"bound": …}``, ``{"note": …}``, at the end ``{"done": true}`` or ``{"failed": reason}``.
"""

from __future__ import annotations

import contextlib
import ctypes
import json
import os
import queue
import signal
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from planner import jsonio
from planner.checks import check
from planner.clocks import Clock, WallClock, WorkClock
from planner.plan import Plan
from planner.promised import Promised
from planner.scenario import Scenario

if TYPE_CHECKING:  # a child that only improves has no use for it
    from planner.model.skeleton import Skeleton

PR_SET_PDEATHSIG = 1
ALONG = 0.25  # of the time left at most goes to a plan along what a relaxation would do
ENOUGH_TO_FINISH = 1.0  # seconds from the parent's end to ours


def _die_with_parent() -> None:
    """Ask Linux to kill this process when its parent ends; elsewhere the closing of stdin does."""
    if sys.platform != "linux":
        return
    parent = os.getppid()
    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGKILL)
    if os.getppid() != parent:  # it ended before we asked
        os._exit(1)


def _step_back() -> None:
    """Let everything else on the machine go first, and be what the kernel ends when memory runs out."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C goes to the whole group; the parent tells us to stop
    with contextlib.suppress(OSError, AttributeError):
        os.nice(5)
    with contextlib.suppress(OSError):
        Path("/proc/self/oom_score_adj").write_text("500")


def _limit_memory(megabytes: int | None) -> None:
    """Refuse this process more address space than ``megabytes``; None sets no limit."""
    if megabytes is None:
        return
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource  # not on Windows

        resource.setrlimit(resource.RLIMIT_AS, (megabytes << 20, megabytes << 20))


class Line:
    """The way to the parent: its plans and its wish to stop in, our plans out."""

    def __init__(self) -> None:
        self._out = os.fdopen(os.dup(1), "wb")
        os.dup2(2, 1)  # whatever a native library prints must not stand among the messages
        self._commands: queue.Queue[dict[str, Any]] = queue.Queue()
        self._better: queue.Queue[dict[str, Any]] = queue.Queue()
        self.stop = threading.Event()
        self.bound = -1  # what others have proven
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        first = True
        for line in sys.stdin.buffer:
            with contextlib.suppress(ValueError):
                said = json.loads(line)
                if first:
                    self._commands.put(said)
                    first = False
                elif said.get("stop"):
                    self.stop.set()
                elif "bound" in said:
                    self.bound = max(self.bound, int(said["bound"]))
                elif "plan" in said:
                    self._better.put(said["plan"])
        self.stop.set()
        time.sleep(ENOUGH_TO_FINISH)
        os._exit(0)

    def command(self) -> dict[str, Any]:
        return self._commands.get()

    def news(self) -> dict[str, Any] | None:
        """The newest plan the parent has sent since the last call."""
        newest = None
        with contextlib.suppress(queue.Empty):
            while True:
                newest = self._better.get_nowait()
        return newest

    def say(self, **message: Any) -> None:
        self._out.write(json.dumps(message, separators=(",", ":")).encode() + b"\n")
        self._out.flush()


def _improve(line: Line, command: dict[str, Any], scenario: Scenario, clock: Clock) -> Plan:
    from planner.improve import improve

    def news() -> Plan | None:
        better = line.news()
        return None if better is None else jsonio.plan_from_json(better)

    return improve(
        scenario,
        jsonio.plan_from_json(command["plan"]),
        clock,
        seed=command["seed"],
        number=command["number"],
        found=lambda plan: line.say(plan=jsonio.plan_to_json(plan)),
        phase=lambda name: line.say(phase=name),
        news=news,
    )


def _core(line: Line, command: dict[str, Any], scenario: Scenario, clock: Clock) -> None:
    from planner.model.core_model import decide

    line.say(core=decide(scenario, clock).as_json())


def _prove(line: Line, command: dict[str, Any], scenario: Scenario, clock: Clock) -> None:
    """Prove a bound in the ``share`` of the time that is meant for it, and improve before (``before``) and after."""
    from planner.model.polish.along import along
    from planner.model.proof.exact import Known
    from planner.model.proof.prove import prove

    def news() -> Known:
        command["plan"] = line.news() or command["plan"]
        return Known(line.bound, int(command["plan"]["cost"]))

    price = Promised(scenario).price

    def tried(skeleton: Skeleton) -> None:
        if not command["along"]:
            return
        news()
        plan = jsonio.plan_from_json(command["plan"])
        better = along(scenario, plan, skeleton, clock.share(ALONG), command["seed"])
        if better is not None and price(better) < price(plan) and not check(scenario, better):
            command["plan"] = jsonio.plan_to_json(better)
            line.say(plan=command["plan"])

    if command["before"]:
        command["plan"] = jsonio.plan_to_json(_improve(line, command, scenario, clock.share(command["before"])))
    seconds = clock.share(command["share"]).left()
    bound, cost = -1, news().below
    try:
        bound = prove(
            scenario, seconds, cost, lambda bound: line.say(bound=bound),
            news=news, tried=tried, stop=clock.stop, line=command["line"],
        )  # fmt: skip
    except Exception as fault:  # a plan is worth more than a proof
        line.say(note=f"the proof failed: {type(fault).__name__}: {fault}")
    known = news()
    if (known.below or 0) > max(bound, known.least) and clock.left() > 0:
        _improve(line, command, scenario, clock)


WORK: dict[str, Callable[[Line, dict[str, Any], Scenario, Clock], object]] = {
    "improve": _improve,
    "prove": _prove,
    "core": _core,
}


def main() -> int:
    _die_with_parent()
    _step_back()
    line = Line()
    command = line.command()
    clock: Clock = (WorkClock if command.get("work") else WallClock)(command["seconds"], line.stop)
    _limit_memory(command.get("memory_mb"))
    try:
        WORK[command["do"]](line, command, jsonio.scenario_from_json(command["scenario"]), clock)
    except MemoryError:
        line.say(failed="there was not enough memory")
        return 1
    line.say(done=True)
    return 0


if __name__ == "__main__":
    code = main()
    sys.stdout.flush()
    os._exit(code)  # threads of a native solver that is still at work do not hold us up
