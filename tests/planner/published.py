"""Published scheduling and packing examples with known optima, told as a pottery's week, and their best plans by hand.

Ware that has been glost fired and waits to be sorted and packed by one person with unbroken hours is the single-machine
problem: a piece is a job, ``finish`` its processing time, its order has the due date and the weight. Several people
make it parallel machines. Pieces that each need a shelf of their own, of one height or another, make packing a kiln
one-dimensional bin packing: an item is clearance + shelf, a bin the kiln's stack. Leather-hard ware that is to be
turned by one person and then joined by another is a flow shop of two machines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.plan import OrderDone, Plan, Task
from planner.scenario import Scenario
from tests.planner import builders as b


@dataclass(frozen=True)
class Case:
    """A published example: ``best`` is the known optimal cost of ``scenario``, which ``plan`` reaches."""

    source: str
    scenario: Scenario
    plan: Plan
    best: int
    seconds: float | None  # in which the planner must find the optimum; None: too large to ask that


def finishing(
    times: Sequence[int], due: Sequence[int], weight: Sequence[int], people: int = 1, **weights: int
) -> Scenario:
    """One fired piece an order: ``times`` minutes to finish it, ``due`` and ``weight`` of the order."""
    jobs = range(len(times))
    horizon = sum(times) + 10
    return b.scenario(
        horizon=horizon,
        people=[b.person(f"p{i}", hours=[(0, horizon)]) for i in range(people)],
        forms=[b.form(f"f{j}", finish=b.Work(times[j], 0)) for j in jobs],
        orders=[b.order(f"o{j}", form=f"f{j}", due=due[j], weight=weight[j]) for j in jobs],
        wip=[b.fired(f"w{j}", form=f"f{j}", order=f"o{j}") for j in jobs],
        weights=b.weights(late_step=1, **weights),
    )


def finished_in_order(scenario: Scenario, lines: Sequence[Sequence[int]]) -> Plan:
    """The plan in which person i finishes the jobs ``lines[i]`` one after the other from minute 0."""
    tasks, ends = [], {}
    for i, line in enumerate(lines):
        now = 0
        for j in line:
            start, now = now, now + scenario.form[f"f{j}"].finish.fixed
            tasks.append(Task(f"t{j}", "finish", start, now, f"p{i}", None))
            ends[j] = now
    late = {j: max(0, ends[j] - scenario.order[f"o{j}"].due) for j in ends}
    w = {j: scenario.order[f"o{j}"].weight for j in ends}
    costs = {
        "late": sum(scenario.weights.late * w[j] * late[j] for j in ends),
        "tardy": sum(scenario.weights.tardy * w[j] for j in ends if late[j]),
    }
    done = [OrderDone(f"o{j}", ends[j], late[j], False) for j in sorted(ends)]
    finishes = [b.finish(f"n{j}", order=f"o{j}", source=f"w{j}", task=f"t{j}") for j in sorted(ends)]
    return b.plan(tasks, costs=costs, finishes=finishes, orders=done)


def packing(sizes: dict[str, tuple[int, int]], stack_mm: int, most_loads: int) -> Scenario:
    """Pieces of ``{form: (height with its shelf, count)}`` to fire; a firing costs 1, an unfired piece more."""
    horizon = 4 * most_loads + 40
    dear = b.program("glost", fire=1, cool=0, kwh=1)
    return b.scenario(
        horizon=horizon,
        people=[b.person(hours=[(0, horizon)])],
        forms=[b.form(f, glost=b.shelving(size - 1, a=1), finish=b.Work(1, 0)) for f, (size, _count) in sizes.items()],
        kilns=[b.kiln(stack_mm=stack_mm, shelf_mm=1, shelves=99, load=1, unload=1, programs=[dear])],
        orders=[b.order(f"o-{f}", form=f, qty=count, due=horizon) for f, (_size, count) in sizes.items()],
        wip=[b.glazed(f"w-{f}", form=f, count=count, order=f"o-{f}") for f, (_size, count) in sizes.items()],
        weights=b.weights(late=1, kwh=1),
    )


def packed(scenario: Scenario, loads: Sequence[dict[str, int]]) -> Plan:
    """The plan that fires ``loads`` one after the other and then finishes everything, load by load."""
    tasks, firings, finishes = [], [], []
    now = 0
    for i, load in enumerate(loads):
        tasks += [b.task(f"in{i}", "load", now, now + 1), b.task(f"out{i}", "unload", now + 2, now + 3)]
        pieces = [b.Part(f"w-{f}", n) for f, n in load.items()]
        fire = {"program": "glost", "load": f"in{i}", "fire": now + 1, "unload": f"out{i}"}
        firings.append(b.firing(f"f{i}", **fire, pieces=pieces))
        now += 3
    ends = {}
    for i, load in enumerate(loads):
        for f, n in load.items():
            tasks.append(b.task(f"t{i}{f}", "finish", now, now + 1))
            finishes.append(b.finish(f"n{i}{f}", order=f"o-{f}", source=f"f{i}", count=n, task=f"t{i}{f}"))
            now += 1
            ends[f] = now
    assert now <= scenario.horizon
    done = [OrderDone(f"o-{f}", ends[f], 0, False) for f in ends]
    return b.plan(tasks, costs={"kwh": len(loads)}, firings=firings, finishes=finishes, orders=done)


def flow_shop(turn: Sequence[int], join: Sequence[int], horizon: int) -> Scenario:
    """One leather-hard batch a job, first to be turned, then joined, each by one person; giving a batch up costs 1."""
    jobs = range(len(turn))

    def steps(j: int) -> list[object]:
        works = (("trim", turn[j]), ("join", join[j]))
        return [b.step(kind, work=b.Work(minutes, 0), after=(0, 1000)) for kind, minutes in works]

    return b.scenario(
        horizon=horizon,
        people=[b.person(k, hours=[(0, horizon)], skills=[k]) for k in ("trim", "join")],
        stations=[b.station(), b.station("wheel", kinds=["trim"]), b.station("bench", kinds=["join"])],
        forms=[b.form(f"f{j}", steps=steps(j)) for j in jobs],
        wip=[b.released(f"w{j}", form=f"f{j}") for j in jobs],
        weights=b.weights(spoil=1),
    )


def flowed(scenario: Scenario, order: Sequence[int]) -> Plan:
    """The plan that takes the batches through both steps in this order, each as early as can be."""
    tasks, batches, free = [], [], {"trim": 0, "join": 0}
    places = {"trim": "wheel", "join": "bench"}
    for j in order:
        ready = 0
        for step in scenario.form[f"f{j}"].steps:
            start = max(ready, free[step.kind])
            ready = free[step.kind] = start + step.work.fixed
            tasks.append(b.task(f"{step.kind}{j}", step.kind, start, ready, step.kind, places[step.kind]))
        batches.append(b.batch(f"w{j}", form=f"f{j}", count=1, moulds=(), steps=[f"trim{j}", f"join{j}"]))
    return b.plan(tasks, batches=batches)
