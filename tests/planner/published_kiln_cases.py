"""The data of the published examples of :mod:`tests.planner.published_kilns`, and of two on one person's order of work.

What the format cannot say, and so is not here: work that is interrupted (McNaughton's rule), one piece of work before
another of other ware (Lawler's example, the chains of weighted completion times, Graham's anomalies), and a set-up that
depends on the tool taken off (Gilmore and Gomory's changes of state; a set-up here depends on the tool put on alone).
"""

from __future__ import annotations

from dataclasses import replace

from planner.plan import OrderDone
from tests.planner import builders as b
from tests.planner.published import Case, finished_in_order, finishing, packed, packing
from tests.planner.published_kilns import (
    fired_in_loads,
    flow_makespan,
    glaze_and_fire,
    job_shop,
    knapsack,
    oven,
    oven_makespan,
    worked,
)

FISHER_THOMPSON = "Fisher and Thompson (1963), in Muth and Thompson, Industrial Scheduling: 6 × 6, OR-Library file ft06"
MARTELLO_TOTH_2_1 = "Martello and Toth, Knapsack Problems (1990), example 2.1 (value from memory, tried here)"
MARTELLO_TOTH_8 = "Martello and Toth, Knapsack Problems (1990), chapter 8, nine items (value from memory, tried here)"
CARLIER = "Carlier, The one-machine sequencing problem, EJOR 11 (1982), seven jobs (value from memory, tried here)"
SMITH = "Smith, Various optimizers for single-stage production (1956): by falling weight / time; Pinedo's seven jobs"
BURN_IN = "Lee, Uzsoy and Martin-Vega, Operations Research 40 (1992): full loads by falling time; data of our own"
JOHNSON = "Johnson (1954), five items (data from memory), three minutes for each of his"
BUFFER = "Papadimitriou and Kanellakis (1980), a place for one job between two machines; Johnson's five items"
NO_WAIT = "Gilmore and Gomory (1964), no wait between two machines; Pinedo's four jobs (data from memory, tried here)"

# (machine, minutes) of each job; the best orders on each machine, found once by an exact solver, take 55 minutes.
FT06 = [
    [(2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)],
    [(1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)],
    [(2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)],
    [(1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)],
    [(2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)],
    [(1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)],
]
FT06_ORDERS = [
    [0, 3, 2, 5, 1, 4],
    [1, 3, 5, 0, 4, 2],
    [2, 0, 1, 4, 3, 5],
    [2, 5, 3, 0, 1, 4],
    [1, 4, 3, 5, 2, 0],
    [2, 5, 1, 4, 0, 3],
]
KNAPSACK_VALUES, KNAPSACK_WEIGHTS = [15, 100, 90, 60, 40, 15, 10, 1], [2, 20, 20, 30, 40, 30, 60, 10]
KNAPSACK_ROOM, KNAPSACK_TAKEN = 102, [0, 1, 2, 3, 5]
HEADS, TIMES, TAILS = [10, 13, 11, 20, 30, 0, 30], [5, 6, 7, 4, 3, 6, 2], [7, 26, 24, 21, 8, 17, 0]
CARLIER_ORDER, CARLIER_BEST = [5, 2, 1, 3, 0, 4, 6], 50
SMITH_TIMES, SMITH_WEIGHTS = [3, 6, 6, 5, 4, 8, 10], [6, 18, 12, 8, 8, 17, 18]
OVEN_TIMES, OVEN_ROOM, OVEN_LOADS = [4, 9, 6, 12, 5, 11, 7, 3], 3, [[3, 5, 1], [6, 2, 4], [0, 7]]
JOHNSON_GLAZE, JOHNSON_FIRE = [12, 12, 90, 18, 6], [15, 3, 12, 90, 9]
JOHNSON_ORDER, JOHNSON_BEST = [4, 0, 3, 2, 1], 3 * 47
NO_WAIT_GLAZE, NO_WAIT_FIRE, NO_WAIT_ORDER = [6, 9, 9, 27], [24, 12, 18, 6], [0, 3, 1, 2]


def _ft06() -> Case:
    s = job_shop(FT06, 55)
    return Case(FISHER_THOMPSON, s, worked(s, FT06_ORDERS), 0, 3)


def _knapsack() -> Case:
    s = knapsack(KNAPSACK_VALUES, KNAPSACK_WEIGHTS, KNAPSACK_ROOM)
    return Case(MARTELLO_TOTH_2_1, s, fired_in_loads(s, [KNAPSACK_TAKEN]), 331 - 280, 3)


def _bins() -> Case:
    s = packing({"h70": (70, 1), "h60": (60, 1), "h50": (50, 1), "h33": (33, 3), "h11": (11, 1), "h7": (7, 1),
                 "h3": (3, 1)}, 100, 6)  # fmt: skip
    loads = [{"h70": 1, "h11": 1, "h7": 1}, {"h60": 1, "h33": 1}, {"h50": 1, "h33": 1}, {"h33": 1, "h3": 1}]
    return Case(MARTELLO_TOTH_8, s, packed(s, loads), 4, 3)


def _carlier() -> Case:
    """Ware that comes out of the kiln at its head and is due its tail before the best end: all of it is in time."""
    s = finishing(TIMES, [CARLIER_BEST - q for q in TAILS], [1] * 7, tardy=1)
    s = replace(s, horizon=60, people=(b.person("p0", hours=[(0, 60)]),))
    s = replace(s, wip=tuple(b.fired(f"w{j}", form=f"f{j}", order=f"o{j}", at=r) for j, r in enumerate(HEADS)))
    tasks, now = [], 0
    for j in CARLIER_ORDER:
        start = max(now, HEADS[j])
        now = start + TIMES[j]
        tasks.append(b.task(f"t{j}", "finish", start, now, "p0"))
    finishes = [b.finish(f"n{j}", order=f"o{j}", source=f"w{j}", task=f"t{j}") for j in range(7)]
    ends = {t.id: t.end for t in tasks}
    done = [OrderDone(f"o{j}", ends[f"t{j}"], 0, False) for j in range(7)]
    return Case(CARLIER, s, b.plan(tasks, finishes=finishes, orders=done), 0, 3)


def smith_best() -> int:
    """The least sum of weight × end: by falling weight / time."""
    now = total = 0
    for p, w in sorted(zip(SMITH_TIMES, SMITH_WEIGHTS, strict=True), key=lambda x: -x[1] / x[0]):
        now += p
        total += w * now
    return total


def _smith() -> Case:
    s = finishing(SMITH_TIMES, [0] * 7, SMITH_WEIGHTS, late=1)
    order = sorted(range(7), key=lambda j: -SMITH_WEIGHTS[j] / SMITH_TIMES[j])
    return Case(SMITH, s, finished_in_order(s, [order]), smith_best(), 3)


def _oven() -> Case:
    s = oven(OVEN_TIMES, OVEN_ROOM, oven_makespan(OVEN_TIMES, OVEN_LOADS) + 1)
    return Case(BURN_IN, s, fired_in_loads(s, OVEN_LOADS), 0, 3)


def _johnson(source: str, rack: int) -> Case:
    """With a rack, or a single board, between the two; a board is enough for these items."""
    s = glaze_and_fire(JOHNSON_GLAZE, JOHNSON_FIRE, JOHNSON_BEST + 1, rack)
    return Case(source, s, fired_in_loads(s, [[j] for j in JOHNSON_ORDER], glazed=False), 0, 3)


def _no_wait() -> Case:
    due = flow_makespan(NO_WAIT_GLAZE, NO_WAIT_FIRE, NO_WAIT_ORDER, 0) + 1
    s = glaze_and_fire(NO_WAIT_GLAZE, NO_WAIT_FIRE, due, 0)
    return Case(NO_WAIT, s, fired_in_loads(s, [[j] for j in NO_WAIT_ORDER], glazed=False), 0, 3)


KILN_CASES = {
    "job shop of six by six in 55 minutes": _ft06(),
    "one firing of the best of eight pots": _knapsack(),
    "four kiln loads where the volume asks for three": _bins(),
    "seven jobs with heads and tails": _carlier(),
    "seven jobs, weighted ends": _smith(),
    "three loads of a burn-in oven": _oven(),
    "glazing and a kiln for one pot": _johnson(JOHNSON, 9),
    "glazing and a kiln with one board between": _johnson(BUFFER, 1),
}
# Valid, since what leaves and comes in the same minute is netted, and beyond the planner: it glazes nothing that it
# could not set down, so that without a rack it fires nothing. A pot that may be packed wet is what no studio has.
NO_RACK = _no_wait()
