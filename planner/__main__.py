"""``python -m planner solve``, ``check``, ``promise`` and ``bench``. ``FORMAT.md`` says what goes in and comes out.

Exit codes: 0 plan written, or valid; 1 not valid; 2 unreadable input, unwritable output or a wrong command line;
3 infeasible (solve, promise), or a plan without tasks (check); 4 nothing found; 70 a fault of the planner itself.
"""

from __future__ import annotations

import argparse
import math
import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from types import FrameType
from typing import TypeVar

from planner.bench.arguments import add_arguments as add_bench_arguments
from planner.faults import MOST_SHOWN, Unreadable, one_line
from planner.files import Unwritable, must_be_writable, read, write
from planner.jsonio import read_plan, read_scenario, write_plan
from planner.plan import COST_NAMES, Plan
from planner.promise_command import add_arguments as add_promise_arguments
from planner.scenario import Scenario

OK, VIOLATED, UNREADABLE, INFEASIBLE, UNKNOWN, FAILED = 0, 1, 2, 3, 4, 70
MOST_SECONDS = 86_400.0

T = TypeVar("T")


def _seconds(text: str) -> float:
    value = float(text)
    if not (math.isfinite(value) and 0 <= value <= MOST_SECONDS):
        raise argparse.ArgumentTypeError(f"{text} is not within 0 and {MOST_SECONDS:.0f} seconds")
    return value


def _workers(text: str) -> int:
    value = int(text)
    if not 1 <= value <= 64:
        raise argparse.ArgumentTypeError(f"{text} is not within 1 and 64 workers")
    return value


def _arguments(argv: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m planner", description="Plan a pottery studio's weeks.")
    commands = parser.add_subparsers(dest="command", required=True)
    solve = commands.add_parser("solve", help="write the best plan found in the time given")
    solve.add_argument("scenario", type=Path)
    solve.add_argument("-o", "--output", type=Path, required=True, metavar="PLAN.json")
    solve.add_argument("--seconds", type=_seconds, default=10.0, help="0 = the first plan alone (default 10)")
    solve.add_argument("--workers", type=_workers, default=2, help="searches side by side (default 2)")
    solve.add_argument("--seed", type=int, default=0, help="another number searches another way (default 0)")
    solve.add_argument(
        "--deterministic", action="store_true", help="the same plan on any machine: --seconds counts work, not time"
    )
    solve.add_argument("--start", type=Path, metavar="PLAN.json", help="a plan to begin from; its dates are kept")
    check = commands.add_parser("check", help="say whether a plan is valid")
    check.add_argument("scenario", type=Path)
    check.add_argument("plan", type=Path)
    promise = commands.add_parser("promise", help="say when an order could be ready without making another late")
    add_promise_arguments(promise, _seconds, _workers)
    bench = commands.add_parser("bench", help="measure the planner on saved scenarios")
    add_bench_arguments(bench, _seconds, _workers)
    return parser.parse_args(argv)


def _document(path: Path, reader: Callable[[bytes], T]) -> T:
    """What ``reader`` makes of the file; its faults are printed with the name of the file."""
    try:
        return reader(read(path))
    except Unreadable as e:
        for fault in e.faults[:MOST_SHOWN]:
            print(f"{fault} (in {one_line(path.name)})", file=sys.stderr)
        raise


class _StopWish:
    """Whether somebody has asked, by Ctrl-C or SIGTERM, for the best plan so far."""

    def __init__(self) -> None:
        self.made = False
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, self._hear)

    def _hear(self, _number: int, _frame: FrameType | None) -> None:
        self.made = True

    def __call__(self) -> bool:
        return self.made


def _solve(args: argparse.Namespace) -> int:
    wish = _StopWish()
    scenario = _document(args.scenario, read_scenario)
    start = None if args.start is None else _document(args.start, read_plan)
    if args.output.exists() and args.output.samefile(args.scenario):
        raise Unwritable(f"{args.output} is the scenario itself; give another path")
    must_be_writable(args.output)
    plan = _plan(scenario, args, wish, start)
    write(args.output, write_plan(plan))
    found = f", cost {plan.cost}" if plan.tasks or plan.status in ("optimal", "feasible") else ""
    print(f"{plan.status}{found}: {args.output}")
    for note in plan.diagnostics.get("notes", []) if start is not None else ():
        print(one_line(note), file=sys.stderr)
    for reason in plan.reasons if plan.status == "infeasible" else ():
        print(one_line(reason.text))
    return {"infeasible": INFEASIBLE, "unknown": UNKNOWN}.get(plan.status, OK)


def _plan(scenario: Scenario, args: argparse.Namespace, wish: _StopWish, start: Plan | None) -> Plan:
    """The solver's plan; if the solver fails, an honest "unknown" and its message."""
    try:
        from planner.solve import solve  # not at the top: checking a plan needs no solver

        return solve(
            scenario,
            seconds=args.seconds,
            workers=args.workers,
            seed=args.seed,
            should_stop=wish,
            deterministic=args.deterministic,
            start=start,
        )
    except (Exception, RecursionError) as e:
        print(f"the planner failed: {_where(e)}", file=sys.stderr)
        return Plan("unknown", 0, dict.fromkeys(COST_NAMES, 0), None, diagnostics={"failed": _where(e)})


def _check(args: argparse.Namespace) -> int:
    scenario = _document(args.scenario, read_scenario)
    plan = _document(args.plan, read_plan)
    if plan.status in ("infeasible", "unknown"):
        print(f"a plan without tasks ({plan.status})")
        return INFEASIBLE
    from planner.checks import check

    violations = check(scenario, plan)
    for violation in violations:
        print(one_line(str(violation)))
    if violations:
        return VIOLATED
    print(f"valid, cost {plan.cost}")
    return OK


def _promise(args: argparse.Namespace) -> int:
    from planner.promise_command import run

    wish = _StopWish()
    return run(args, _document(args.scenario, read_scenario), wish)


def _bench(args: argparse.Namespace) -> int:
    from planner.bench.command import run

    try:
        return run(args)
    except Unreadable as e:
        for fault in e.faults[:MOST_SHOWN]:
            print(fault, file=sys.stderr)
        raise


def _where(e: BaseException) -> str:
    """One line on an unexpected exception, for a report to the maintainers."""
    trace = e.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    place = f" at {Path(trace.tb_frame.f_code.co_filename).name}:{trace.tb_lineno}" if trace else ""
    return one_line(f"{type(e).__name__}: {e}{place}")


def main(argv: list[str] | None = None) -> int:
    """Run one command; returns the exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")  # a terminal without UTF-8 still gets the message
    args = _arguments(argv)
    try:
        code = {"solve": _solve, "check": _check, "promise": _promise, "bench": _bench}[args.command](args)
        sys.stdout.flush()
    except Unreadable:
        return UNREADABLE
    except Unwritable as e:
        print(one_line(str(e)), file=sys.stderr)
        return UNREADABLE
    except BrokenPipeError:  # the reader of our lines has gone; nobody is left to tell
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return VIOLATED if args.command == "check" else OK
    except KeyboardInterrupt:
        return 130
    except Exception as e:
        print(f"the planner failed: {_where(e)}; please report it with the file", file=sys.stderr)
        return FAILED
    return code


if __name__ == "__main__":
    sys.exit(main())
