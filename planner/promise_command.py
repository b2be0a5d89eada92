"""``python -m planner promise``: the question on the command line, the answer as JSON."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from planner.faults import Refused, one_line
from planner.files import must_be_writable, write
from planner.scenario import Scenario
from planner.values import MOST

if TYPE_CHECKING:
    from planner.promise.records import Promise

CODES = {"promise": 0, "impossible": 3, "none": 4}
UNREADABLE = 2


def _pieces(text: str) -> int:
    value = int(text)
    if not 1 <= value <= MOST:
        raise argparse.ArgumentTypeError(f"{text} is not within 1 and {MOST} pieces")
    return value


def _weight(text: str) -> int:
    value = int(text)
    if not 0 <= value <= MOST:
        raise argparse.ArgumentTypeError(f"{text} is not within 0 and {MOST}")
    return value


def _days(text: str) -> int:
    value = int(text)
    if not 1 <= value <= 365:
        raise argparse.ArgumentTypeError(f"{text} is not within 1 and 365 days")
    return value


def add_arguments(
    promise: argparse.ArgumentParser, seconds: Callable[[str], float], workers: Callable[[str], int]
) -> None:
    """The arguments of the command; ``seconds`` and ``workers`` read those as the other commands do."""
    promise.add_argument("scenario", type=Path)
    promise.add_argument("--form", required=True, help="id of the form asked for")
    promise.add_argument("--glaze", required=True, help="id of its glaze")
    promise.add_argument("--qty", type=_pieces, required=True, help="pieces to finish, allowance for losses included")
    promise.add_argument("--weight", type=_weight, default=1, help="of the order against the others (default 1)")
    promise.add_argument("-o", "--output", type=Path, metavar="PROMISE.json", help="default: the standard output")
    promise.add_argument("--seconds", type=seconds, default=5.0, help="to look for earlier dates (default 5)")
    promise.add_argument("--workers", type=workers, default=2, help="searches side by side (default 2)")
    promise.add_argument("--seed", type=int, default=0, help="another number searches another way (default 0)")
    promise.add_argument("--days", type=_days, default=70, help="the farthest day to look at (default 70)")


def run(args: argparse.Namespace, scenario: Scenario, should_stop: Callable[[], bool]) -> int:
    """Answer the question; the exit code. Raises :class:`planner.files.Unwritable`."""
    from planner.promise import as_json, promise  # not at the top: the other commands need none of it

    if args.output is not None:
        must_be_writable(args.output)
    try:
        answer = promise(
            scenario,
            form=args.form,
            glaze=args.glaze,
            qty=args.qty,
            weight=args.weight,
            seconds=args.seconds,
            workers=args.workers,
            seed=args.seed,
            should_stop=should_stop,
            most_days=args.days,
        )
    except Refused as e:
        for fault in e.faults:
            name = fault.pointer.removeprefix("/")
            print(one_line(f"--{name}: {fault.wrong}; {fault.right}"), file=sys.stderr)
        return UNREADABLE
    data = (json.dumps(as_json(answer), ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()
    if args.output is None:
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.flush()
    else:
        write(args.output, data)
        for line in lines(answer):
            print(one_line(line))
    return CODES[answer.status]


def lines(answer: Promise) -> list[str]:
    """The answer in a few lines for people."""
    if answer.status != "promise":
        return [answer.status, *(r.text for r in answer.reasons)]
    first = f"{answer.date}: {answer.order.qty} of {answer.order.form}, and no present order is later"
    return [first, *(f"earlier: {x.text}" for x in answer.earlier[:3]), *(x.text for x in answer.options[:5])]
