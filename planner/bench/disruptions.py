"""Random disruptions: each mended and planned afresh side by side, one core each, in the same seconds."""

from __future__ import annotations

import random
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from statistics import median, quantiles

from planner.bench.events import EVENTS, after
from planner.bench.saved import Saved
from planner.bench.tables import table
from planner.bench.untouched import untouched
from planner.checks import check
from planner.dispatch.kept import afresh
from planner.plan import Plan
from planner.promised import Promised
from planner.scenario import Scenario
from planner.solve import solve

BEFORE_SECONDS = 5.0  # search for the plan that is disrupted
MADE = ("optimal", "feasible")


@dataclass(frozen=True)
class Disrupted:
    """One disruption: dates broken and cost, mended and afresh; what moved of the tasks that it left possible.

    ``first`` and ``mended`` count moved tasks of ``untouched``, in the first plan and in the one given at the end.
    """

    name: str
    event: str
    first_seconds: float
    untouched: int
    first: int
    mended: int
    cost: int
    cost_afresh: int
    broken: int
    broken_afresh: int
    faults: tuple[str, ...]

    @property
    def no_dearer(self) -> bool:
        """Whether mending keeps more dates than planning afresh, or as many and costs no more."""
        return (self.broken, self.cost) <= (self.broken_afresh, self.cost_afresh)

    @property
    def part(self) -> float:
        """The part of the untouched tasks that the plan at the end moves."""
        return self.mended / self.untouched if self.untouched else 0.0


def shared(some: Sequence[Saved], count: int) -> list[tuple[Saved, list[int]]]:
    """``count`` disruptions by number, the same ones each time, shared out among ``some`` studios by turns."""
    return [(x, list(range(i, count, len(some)))) for i, x in enumerate(some) if i < count]


def disrupt(saved: Saved, numbers: Sequence[int], seconds: float) -> list[Disrupted]:
    """The disruptions ``numbers`` of one studio's plan, events by turns. Cases without a plan are left out."""
    scenario, events = saved.scenario(), list(EVENTS)
    before = solve(scenario, seconds=BEFORE_SECONDS)
    at = saved.name.encode()[-1]  # studios begin with different events
    made = [
        _one(saved.name, scenario, before, events[(at + i) % len(events)], n, seconds) for i, n in enumerate(numbers)
    ]
    return [x for x in made if x is not None]


def _one(name: str, scenario: Scenario, before: Plan, event: str, n: int, seconds: float) -> Disrupted | None:
    changed = after(scenario, before, event, random.Random(n))
    begun = time.perf_counter()
    first = solve(changed, seconds=0)
    first_seconds = time.perf_counter() - begun
    with ThreadPoolExecutor(2) as both:
        ways = [both.submit(solve, s, seconds=seconds, workers=1, seed=n) for s in (changed, afresh(changed))]
        mended, new = (way.result() for way in ways)
    if any(p.status not in MADE for p in (before, first, mended, new)):
        return None
    left, broken = untouched(scenario, changed, before), Promised(changed).broken
    faults = [f"{name}, {event}: {v}" for p in (first, mended, new) for v in check(changed, p)]
    return Disrupted(
        name, event, first_seconds, len(left), _moved(before, first, left), _moved(before, mended, left),
        mended.cost, new.cost, broken(mended), broken(new), tuple(faults),
    )  # fmt: skip


def _moved(before: Plan, plan: Plan, among: frozenset[str]) -> int:
    """Tasks ``among`` those of ``before`` that ``plan`` lacks or starts at another minute."""
    now = {(t.id, t.kind, t.start) for t in plan.tasks}
    return sum(t.id in among and (t.id, t.kind, t.start) not in now for t in before.tasks)


def report(made: Sequence[Disrupted]) -> list[str]:
    """The figures of all disruptions and by event."""
    head = ["event", "cases", "no dearer", "cost alone", "first plan s", "at most s", "untouched", "moved first",
            "moved", "moved p90", "broken", "afresh"]  # fmt: skip
    events = [e for e in EVENTS if any(x.event == e for x in made)]
    return table(head, [_row(e, [x for x in made if e in (x.event, "all")]) for e in (*events, "all")]) if made else []


def _row(name: str, some: Sequence[Disrupted]) -> list[str | int | float | None]:
    parts = [x.part for x in some]
    first = [x.first / x.untouched if x.untouched else 0.0 for x in some]
    return [
        name, len(some), sum(x.no_dearer for x in some), sum(x.cost <= x.cost_afresh for x in some),
        median(x.first_seconds for x in some), max(x.first_seconds for x in some), median(x.untouched for x in some),
        median(first), median(parts), quantiles(parts, n=10, method="inclusive")[-1] if len(parts) > 1 else parts[0],
        sum(x.broken for x in some), sum(x.broken_afresh for x in some),
    ]  # fmt: skip
