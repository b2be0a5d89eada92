"""A scenario in, the best plan found in the time given out.

The first plan comes from the dispatcher, in this process. Children then improve it and send each better plan; every one
is checked here, and the cheapest that the checker accepts is kept. So whatever happens to a child, a valid plan stays.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from planner import jsonio
from planner.bound import lower_bound
from planner.checks import check
from planner.core import CoreVerdict, bare_plan
from planner.core_placement import CorePlacement
from planner.costs import with_costs
from planner.dispatch import dispatch, first_plan
from planner.plan import COST_NAMES, Plan
from planner.promised import Promised, holding
from planner.reasons import infeasible_reasons, with_reasons
from planner.scenario import Scenario
from planner.search_run import run_children
from planner.start import begun_from

REPORT = 0.5  # seconds between reports of progress
LEAST_FOR_CHILD = 0.3  # a child needs this long to start at all
FAR, FARTHER = 10, 60  # times the units asked for, and seconds, that end a deterministic solve at the latest
TINY = 5  # orders up to which a proof is likely, and a plan along what a relaxation would do is soon found
LEAST_FOR_PROOF = 2.0  # seconds below which nothing is proven that the quick bound does not know
# of the last child's time goes to the proof, by the most orders: a small plan is found soon and proven with luck
PROOF_PARTS = ((TINY, 0.85), (12, 0.5), (25, 0.3), (1_000_000_000, 0.2))
BEFORE = 0.3  # of a child's time, where both of two prove in the end

OnProgress = Callable[["Progress"], None]
ShouldStop = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a search has come: for people who watch it. ``cost`` is None while there is no plan yet."""

    seconds: float
    cost: int | None
    costs: dict[str, int]
    late_orders: int
    firings: int
    phase: str  # "first", "core", "search", "polish", "done"
    bound: int | None = None  # no valid plan costs less; None while nothing is known


class _Watch:
    """The clock of one solve, its stop wish and its reports."""

    def __init__(self, seconds: float, on_progress: OnProgress | None, should_stop: ShouldStop | None) -> None:
        self._begun = time.monotonic()
        self._end = self._begun + seconds
        self._on_progress = on_progress
        self._should_stop = should_stop
        self._reported = 0.0
        self.stopped = False
        self.phase = "first"
        self.bound: int | None = None

    def seconds(self) -> float:
        return time.monotonic() - self._begun

    def left(self) -> float:
        """Seconds left; 0 once somebody wished to stop."""
        if not self.stopped and self._should_stop is not None:
            self.stopped = bool(self._should_stop())
        return 0.0 if self.stopped else max(0.0, self._end - time.monotonic())

    def report(self, plan: Plan | None, *, always: bool = False) -> None:
        if self._on_progress is None or not (always or time.monotonic() - self._reported >= REPORT):
            return
        self._reported = time.monotonic()
        late = sum(o.late_min > 0 for o in plan.orders) if plan else 0
        firings = sum(f.load is not None for f in plan.firings) if plan else 0
        cost, costs = (plan.cost, dict(plan.costs)) if plan else (None, {})
        self._on_progress(Progress(round(self.seconds(), 1), cost, costs, late, firings, self.phase, self.bound))


class _Best:
    """The cheapest plan that the checker accepts, dates held before costs, and what is to be noted about the search."""

    def __init__(self, scenario: Scenario) -> None:
        self._scenario, self._promised = scenario, Promised(scenario)
        self.plan: Plan | None = None
        self.notes: list[str] = []
        self.refused = 0

    def offer(self, plan: Plan | None) -> bool:
        """Keep ``plan`` if it is valid and better than what we have; True if kept."""
        if plan is None:
            return False
        plan = with_costs(self._scenario, replace(plan, status="feasible", bound=None, reasons=(), diagnostics={}))
        if self.plan is not None and self._promised.price(plan) >= self._promised.price(self.plan):
            return False
        if check(self._scenario, plan):
            self.refused += 1
            return False
        self.plan = plan
        return True

    def at(self, bound: int | None) -> bool:
        """Whether no plan can be better, as ``bound`` says."""
        return self.plan is not None and bound is not None and self._promised.price(self.plan) <= bound


def solve(
    scenario: Scenario,
    *,
    seconds: float = 10,
    workers: int = 2,
    seed: int = 0,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
    memory_mb: int | None = None,
    deterministic: bool = False,
    start: Plan | None = None,
) -> Plan:
    """The cheapest valid plan found within ``seconds``, or the proof that there is none.

    ``workers`` children search side by side (``seed`` varies their paths), each limited to ``memory_mb`` of address
    space if given. ``should_stop`` is asked about ten times a second; after a yes, the best plan so far comes back
    within a second. With ``seconds=0`` the first plan is all, and no child is started.

    ``deterministic``: the same scenario, seed and seconds give the same plan however busy the machine is. ``seconds``
    are then units of work (tries, search steps, the solver's own deterministic time), each about a second of one core
    that has nothing else to do; one child does them, nothing is proven, and only ``FAR`` times as many seconds and
    ``FARTHER`` more end it early.

    ``start``: a plan to begin from, in the minutes of the scenario, such as the one that a promise stands on. It is a
    first plan where it is valid, else it is laid in again; no order comes later than in it where that can be helped.
    """
    if start is not None:
        scenario = holding(scenario, start)
    watch = _Watch(FAR * seconds + FARTHER if deterministic else seconds, on_progress, should_stop)
    best = _Best(scenario)
    _first_plans(scenario, best, start)
    watch.report(best.plan, always=True)
    ask = {"seed": seed, "memory_mb": memory_mb, "scenario": jsonio.scenario_to_json(scenario)}
    verdict = None
    if deterministic:
        ask |= {"work": True, "seconds": seconds}
        workers = 1
    if best.plan is None and min(seconds, watch.left()) > LEAST_FOR_CHILD:
        watch.phase = "core"
        verdict = _decide_core(scenario, best, watch, ask)
    watch.bound = lower_bound(scenario)
    if best.plan is not None and not best.at(watch.bound) and min(seconds, watch.left()) > LEAST_FOR_CHILD:
        watch.phase = "search"
        _improve(best, watch, {**ask, "do": "improve", "plan": jsonio.plan_to_json(best.plan)}, workers)
    watch.phase = "done"
    watch.report(best.plan, always=True)
    if deterministic and watch.left() <= 0 and not watch.stopped:
        best.notes.append("the work asked for was not done in time: another run may give another plan")
    return _answer(scenario, best, watch.bound, verdict, watch, timed=not deterministic)


def _first_plans(scenario: Scenario, best: _Best, start: Plan | None) -> None:
    """What the quick ways give: a fresh plan, a repair of the previous one, the plan to begin from.

    A fault in one of them is noted and leaves the others, and the exact model, to answer.
    """
    for name, way in (("dispatcher", first_plan), ("repair", _repaired)):
        try:
            best.offer(way(scenario))
        except Exception as fault:
            best.notes.append(f"the {name} failed: {type(fault).__name__}: {fault}")
    if start is not None:
        best.notes += begun_from(scenario, start, best.offer)


def _repaired(scenario: Scenario) -> Plan | None:
    if scenario.previous is None:
        return None
    from planner.repair import repair

    return repair(scenario)


def _improve(best: _Best, watch: _Watch, ask: dict[str, Any], workers: int) -> None:
    """Let the children look for better plans and bounds until the time is over or a plan reaches the bound."""

    def heard(_child: int, said: dict[str, Any]) -> dict[str, Any] | None:
        if "bound" in said:
            watch.bound = max(watch.bound or 0, int(said["bound"]))
            return {"bound": watch.bound}
        if "note" in said:
            best.notes.append(str(said["note"]))
        if "phase" in said:
            watch.phase = str(said["phase"])
        if "plan" in said and best.offer(_read(said["plan"])):
            return {"plan": said["plan"]}
        return None

    def left() -> float:
        return 0.0 if best.at(watch.bound) else watch.left()

    orders = [{"seconds": watch.left(), **ask, "number": n} for n in range(max(1, workers))]
    if workers > 1 and watch.left() >= LEAST_FOR_PROOF:
        number = len(ask["scenario"]["orders"])
        share = next(part for orders_most, part in PROOF_PARTS if number <= orders_most)
        orders[-1] |= {"do": "prove", "share": share, "line": 0, "before": 0.0, "along": number <= TINY}
        if number <= TINY:
            orders[0] |= {"do": "prove", "share": share, "line": 1, "before": BEFORE, "along": True}
    best.notes += run_children(orders, heard, left, lambda: watch.report(best.plan))


def _read(document: Any) -> Plan | None:
    """The plan in a child's message; None if what it sent is none."""
    try:
        return jsonio.plan_from_json(document)
    except ValueError:
        return None


def _decide_core(scenario: Scenario, best: _Best, watch: _Watch, ask: dict[str, Any]) -> CoreVerdict | None:
    """Ask the exact model of the must-do core; a feasible one gives ``best`` its first plan."""
    verdicts: list[CoreVerdict] = []

    def heard(_child: int, said: dict[str, Any]) -> None:
        if "core" in said:
            verdicts.append(CoreVerdict.from_json(said["core"]))

    orders = [{"seconds": watch.left(), **ask, "do": "core"}]
    best.notes += run_children(orders, heard, watch.left, lambda: watch.report(best.plan))
    if not verdicts:
        return None
    if verdicts[-1].placement is not None:
        best.offer(bare_plan(verdicts[-1].placement))
        best.offer(_around(scenario, verdicts[-1].placement))
    return verdicts[-1]


def _around(scenario: Scenario, core: CorePlacement) -> Plan | None:
    """What the dispatcher builds around a core that is placed already."""
    return dispatch(scenario, core=core)


def _answer(
    scenario: Scenario, best: _Best, bound: int, verdict: CoreVerdict | None, watch: _Watch, *, timed: bool
) -> Plan:
    """The plan that goes out, with its status, bound, reasons and what there is to say about the search."""
    diagnostics: dict[str, Any] = {"stopped": watch.stopped}
    if timed:
        diagnostics["seconds"] = round(watch.seconds(), 2)
    if best.notes:
        diagnostics["notes"] = best.notes
    if best.refused:
        diagnostics["refused"] = best.refused  # plans that the checker did not accept: never shown, but counted
    if best.plan is not None:
        diagnostics["gap"] = round(1 - bound / best.plan.cost, 4) if best.plan.cost else 0.0
        if bound > best.plan.cost:  # it would be no bound: never shown, but noted
            diagnostics["refused_bound"] = bound
            bound = lower_bound(scenario)
        status = "optimal" if best.plan.cost == bound else "feasible"
        return with_reasons(scenario, replace(best.plan, status=status, bound=bound, diagnostics=diagnostics))
    empty = Plan("unknown", 0, dict.fromkeys(COST_NAMES, 0), None, diagnostics=diagnostics)
    reasons = infeasible_reasons(scenario)  # each of them is a proof, found without the exact model
    if reasons or (verdict is not None and verdict.verdict == "infeasible"):
        return replace(empty, status="infeasible", reasons=reasons or (verdict.reasons if verdict else ()))
    return empty
