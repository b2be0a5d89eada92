"""``python -m planner bench``: saved scenarios measured one after the other, printed as Markdown tables."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TypeVar

from planner.bench import proofs, tables
from planner.bench.alone import Failed, alone
from planner.bench.arguments import FOLDER, PROOFS
from planner.bench.at_random import SEARCHED_EVERY, draw, try_all
from planner.bench.disruptions import disrupt, report, shared
from planner.bench.machine import load, machine
from planner.bench.measure import Asked, Grown, Measured, grow, measure
from planner.bench.saved import Saved, saved
from planner.faults import one_line
from planner.files import must_be_writable, write

GROWS = "medium-203"  # the studio whose season grows: two people, two kilns, two weeks from a midnight on
RANDOM_SECONDS = 1.0  # to search a random studio
DISRUPTION_SECONDS = 10.0  # to mend a plan, and to make it afresh
IN_ONE_PROCESS = 25  # random studios; starting a process takes as long as a first plan
T = TypeVar("T")


@dataclass(frozen=True)
class Usual:
    """What is measured where the arguments say nothing of it."""

    seconds: tuple[float, ...]
    only: tuple[str, ...]
    growth: tuple[int, ...]
    repair_seconds: float | None


USUAL = Usual((1.0, 5.0, 20.0, 60.0), (), (50, 100, 250, 500, 1000, 2500, 5000), 2.0)
QUICK = Usual((1.0, 3.0), ("tiny",), (50, 250), None)


def run(args: argparse.Namespace) -> int:
    """Measure and print; exit code 0, or 1 where the checker refused a plan or a scenario could not be measured."""
    if args.json is not None:
        must_be_writable(args.json)
    if args.random is not None:
        return _run_random(args)
    if args.disruptions is not None:
        return _run_disruptions(args)
    if args.proofs:
        return _run_proofs(args)
    asked, only, growth = _asked(args)
    folder = args.folder or FOLDER
    chosen = saved(folder, only)
    before = machine()
    _say(_described(before))
    failed: list[str] = []
    measured = _each([(x.name, measure, (x, asked)) for x in chosen], failed)
    grows = _grower(folder, chosen)
    grown = _each([(f"a season of {n} pieces", grow, (grows, n)) for n in growth], failed)
    for line in _report(measured, grown, asked):
        print(line)
    failed += [f"{m.name}: {fault}" for m in measured for fault in m.invalid]
    return _ended(args, before, {"asked": asdict(asked), "measured": measured, "grown": grown}, failed)


def _run_random(args: argparse.Namespace) -> int:
    """Try random studios and print what came of them; exit code 1 where a plan was invalid or a try failed."""
    studios = draw(args.random, args.only or ())
    before = machine()
    _say(_described(before))
    seconds = (args.seconds or (RANDOM_SECONDS,))[-1]
    parts = [studios[i : i + IN_ONE_PROCESS] for i in range(0, len(studios), IN_ONE_PROCESS)]
    failed: list[str] = []
    work = [(f"studios from {part[0].name}", try_all, (part, seconds, args.workers)) for part in parts]
    tried = [one for part in _each(work, failed) for one in part]
    failed += [fault for one in tried for fault in one.faults]
    print(f"Random studios (first plans; one in {SEARCHED_EVERY} searched for {seconds:g} s, too):", end="\n\n")
    for line in tables.drawn(tried):
        print(line)
    return _ended(args, before, {"tried": tried}, failed)


def _run_disruptions(args: argparse.Namespace) -> int:
    """Mend random disruptions and print what came of them; exit code 1 where a plan was invalid or a case failed."""
    before = machine()
    _say(_described(before))
    seconds = DISRUPTION_SECONDS if args.repair_seconds is None else args.repair_seconds
    failed: list[str] = []
    parts = shared(saved(args.folder or FOLDER, args.only or ()), args.disruptions)
    made = [one for part in _each([(p[0].name, disrupt, (*p, seconds)) for p in parts], failed) for one in part]
    failed += [fault for one in made for fault in one.faults]
    print(f"Random disruptions, mended and planned afresh in {seconds:g} s each, one core each:", end="\n\n")
    for line in report(made):
        print(line)
    return _ended(args, before, {"disruptions": made}, failed)


def _run_proofs(args: argparse.Namespace) -> int:
    """Search saved studios and print what was proven; exit code 1 where a plan or a bound was wrong."""
    seconds = (args.seconds or (proofs.SECONDS,))[-1]
    chosen = saved(args.folder or PROOFS, args.only or ())
    before = machine()
    _say(_described(before))
    failed: list[str] = []
    made = _each([(x.name, proofs.proof, (x, seconds, args.workers)) for x in chosen], failed)
    failed += [fault for one in made for fault in one.faults]
    print(f"Studios searched for {seconds:g} s with {args.workers} workers:", end="\n\n")
    for line in proofs.report(made, seconds):
        print(line)
    return _ended(args, before, {"proofs": made}, failed)


def _ended(args: argparse.Namespace, before: dict[str, str], figures: dict[str, object], failed: list[str]) -> int:
    """Say what failed, write the figures where that is asked for, and give the exit code."""
    print(f"Load at the end: {load()}." if load() else "")
    for line in failed:
        print(f"FAILED {line}")
    if args.json is not None:
        document = {"machine": before, **figures, "failed": failed}
        write(args.json, (json.dumps(document, default=asdict, indent=1) + "\n").encode())
    return 1 if failed else 0


def _asked(args: argparse.Namespace) -> tuple[Asked, tuple[str, ...], tuple[int, ...]]:
    """How to measure, which scenarios, and how many pieces the seasons have."""
    usual = QUICK if args.quick else USUAL
    repair = usual.repair_seconds if args.repair_seconds is None else args.repair_seconds
    return (
        Asked(args.seconds or usual.seconds, args.workers, args.seeds, args.apart, None if args.no_repairs else repair),
        usual.only if args.only is None else args.only,
        usual.growth if args.growth is None else args.growth,
    )


def _grower(folder: Path, chosen: list[Saved]) -> Saved:
    """The studio whose season grows: always the same one where it is there."""
    return next((x for x in saved(folder) if x.name == GROWS), chosen[-1])


def _each(work: list[tuple[str, Callable[..., T], tuple[object, ...]]], failed: list[str]) -> list[T]:
    """The results of the pieces of work; ``failed`` gets a line for each that gave none."""
    done: list[T] = []
    for n, (name, function, given) in enumerate(work):
        print(f"{name} ({n + 1} of {len(work)})", file=sys.stderr, flush=True)
        try:
            done.append(alone(function, given))
        except Failed as e:
            failed.append(one_line(f"{name}: {e}"))
    return done


def _report(measured: list[Measured], grown: list[Grown], asked: Asked) -> list[str]:
    lines: list[str] = []
    if measured:
        how = "a run for each of the seconds" if asked.apart else "one run, looked in on"
        lines += [f"Costs ({how}; {asked.workers} workers; late orders by hand, first, search):", ""]
        lines += tables.costs(measured, asked)
        lines += ["Against the hand rule, and costs reached before:", "", *tables.ratios(measured, asked)]
        if len(asked.seeds) > 1:
            lines += [f"Searches of {asked.seconds[-1]:g} s apart:", "", *tables.seeds(measured)]
        if asked.repair_seconds is not None:
            lines += ["Repairs (medians):", "", *tables.repairs(measured, asked.repair_seconds)]
        lines += ["Peak memory:", "", *tables.memory(measured)]
    if grown:
        lines += ["First plans of longer seasons:", "", *tables.growth(grown)]
    return lines


def _described(facts: dict[str, str]) -> str:
    said = f"{facts['cpu']}, {facts['cores']} cores, {facts['memory']}, {facts['system']}, Python {facts['python']}, "
    return said + f"ortools {facts['ortools']}" + (f", load {facts['load']}" if facts["load"] else "") + "."


def _say(line: str) -> None:
    print(line)
    print(flush=True)
