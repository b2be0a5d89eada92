"""Studios drawn at random, each planned at once and some searched a little: does the planner hold on all of them?"""

from __future__ import annotations

import random
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

from planner.bench.events import EVENTS, after
from planner.bench.saved import SIZES
from planner.bench.studios import disturbed, lifelike, strange
from planner.checks import check
from planner.dispatch import first_plan
from planner.dispatch.hand import hand_plan
from planner.faults import Fault, Unreadable, one_line
from planner.plan import Plan
from planner.promised import Promised
from planner.scenario import Scenario
from planner.solve import solve

ODD = "odd"  # tiny studios twisted until rare keys and branches of the format come up
REPAIR = "repair"  # tiny to medium studios in the middle of their plan when something happens
DRAWN_SIZES = (*SIZES, ODD, REPAIR)
LOADS = (0.7, 1.0, 1.3, 1.6)
SEARCHED_EVERY = 10  # one in so many is searched, too
SLOW = {"large": 1.5}  # seconds in which a first plan should be there on a machine that does nothing else
SLOW_ELSE = 0.5


@dataclass(frozen=True)
class Drawn:
    """A random studio by its ``seed``: lifelike of ``size`` and ``load``, or odd, every second one after mishaps."""

    size: str
    load: float
    seed: int
    searched: bool

    @property
    def name(self) -> str:
        return f"{self.size} studio, seed {self.seed}" + (f", load {self.load:g}" if self.size != ODD else "")

    def scenario(self) -> Scenario:
        if self.size == REPAIR:
            return _in_repair(lifelike(self.seed, SIZES[self.seed % 3], load=self.load), self.seed)
        if self.size != ODD:
            return lifelike(self.seed, self.size, load=self.load)
        made = strange(self.seed)
        return disturbed(made, self.seed, 3) if self.seed % 2 else made


def _in_repair(scenario: Scenario, seed: int) -> Scenario:
    """``scenario`` with its first plan to replace, some tasks of it pinned, after one of the events of repairs."""
    plan, r = first_plan(scenario), random.Random(f"repair {seed}")
    if plan is None:
        return scenario
    ids = [t.id for t in plan.tasks]
    changed = after(scenario, plan, r.choice(list(EVENTS)))
    return replace(changed, pins=tuple(r.sample(ids, min(len(ids), r.choice([0, 0, 1, 5])))))


@dataclass(frozen=True)
class Tried:
    """What came of one: the first plan and its seconds, whether the hand rule's or a search's is cheaper, all faults.

    ``cheaper`` is the search's cost over the first plan's, None where it was not searched or there is nothing to save.
    """

    size: str
    status: str
    seconds: float
    dearer_than_hand: bool
    cheaper: float | None
    refused: int
    faults: tuple[str, ...]

    @property
    def slow(self) -> bool:
        return self.seconds > SLOW.get(self.size, SLOW_ELSE)


def draw(count: int, only: Sequence[str] = ()) -> list[Drawn]:
    """``count`` studios, the same ones each time: sizes and loads by turns. Raises ``Unreadable`` for other sizes."""
    unknown = [o for o in only if o not in DRAWN_SIZES]
    if unknown:
        raise Unreadable([Fault("", f"no size {', '.join(unknown)}", f"one of {', '.join(DRAWN_SIZES)}")])
    sizes = [s for s in DRAWN_SIZES if not only or s in only]
    turns = [(n, *divmod(n, len(sizes))) for n in range(count)]
    return [Drawn(sizes[of], LOADS[turn % len(LOADS)], n, (turn + of) % SEARCHED_EVERY == 0) for n, turn, of in turns]


def try_all(some: Sequence[Drawn], seconds: float, workers: int) -> list[Tried]:
    """Each of ``some`` tried in turn, those that are ``searched`` with ``seconds`` of search."""
    return [_try(one, seconds, workers) for one in some]


def _try(one: Drawn, seconds: float, workers: int) -> Tried:
    try:
        return _planned(one, seconds, workers)
    except Exception as e:  # one fault of the planner must not hide the next
        return Tried(one.size, "failed", 0.0, False, None, 0, (one_line(f"{one.name}: {type(e).__name__}: {e}"),))


def _planned(one: Drawn, seconds: float, workers: int) -> Tried:
    scenario = one.scenario()
    begun = time.perf_counter()
    first = solve(scenario, seconds=0)
    took = time.perf_counter() - begun
    plans = {"first plan": first}
    if (by_hand := hand_plan(scenario)) is not None:
        plans["hand rule"] = by_hand
    if one.searched:
        plans["search"] = solve(scenario, seconds=seconds, workers=workers, seed=one.seed)
    faults = [fault for way, plan in plans.items() for fault in _faults(scenario, way, plan)]
    price = Promised(scenario).price
    dearer = by_hand is not None and (not _made(first) or price(first) > price(by_hand))
    best = plans.get("search", first)
    if _made(first) and (not _made(best) or price(best) > price(first)):
        faults.append("search: worse than the first plan")
    cheaper = best.cost / first.cost if one.searched and _made(first) and first.cost else None
    refused = sum(int(plan.diagnostics.get("refused", 0)) for plan in plans.values())
    return Tried(one.size, best.status, took, dearer, cheaper, refused, tuple(f"{one.name}: {x}" for x in faults))


def _made(plan: Plan) -> bool:
    return plan.status in ("optimal", "feasible")


def _faults(scenario: Scenario, way: str, plan: Plan) -> list[str]:
    """What the checker says against ``plan``; nothing of one that does not claim to be a plan."""
    found = [str(v) for v in check(scenario, plan)] if _made(plan) else []
    if "refused_bound" in plan.diagnostics:
        found.append("a bound above the plan's cost")
    return [f"{way}: {fault}" for fault in found]
