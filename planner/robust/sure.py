"""How sure the dates of a plan are: the plan played some hundred times."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import ceil
from random import Random

from planner.plan import Plan
from planner.promise.horizon import longer
from planner.relief.words import DAY, day_of, length, pieces
from planner.robust.compile import line_of
from planner.robust.line import NEVER
from planner.robust.play import Run
from planner.robust.spread import Spread
from planner.robust.tail import starts_needed
from planner.scenario import Order, Scenario

RUNS = 200
SURE = 0.9
MORE_DAYS = 14  # after the plan, in which what has run late is still done


@dataclass(frozen=True)
class Sureness:
    """How sure one order is.

    ``on_date``: the share of runs in which it is done by its due minute; ``sure_by``: the first minute by which it is
    done in nine runs of ten, None if it never is; ``slack``: minutes by which it would have to be due later for that.
    ``usual``: the median. ``firsts``: pieces that have to be good; ``enough``: the share of runs in which so many are;
    ``more``: pieces to start beyond ``qty`` so that there are enough nine times in ten. ``fewest``: good pieces in all
    but one run of ten.
    """

    order: str
    planned: int
    on_date: float
    usual: int | None
    sure_by: int | None
    slack: int | None
    firsts: int | None
    enough: float
    more: int
    fewest: int
    runs: int
    text: str


def sureness(
    scenario: Scenario,
    plan: Plan,
    *,
    spread: Spread | None = None,
    firsts: Mapping[str, int] | None = None,
    runs: int = RUNS,
    seed: int = 0,
    sure: float = SURE,
    should_stop: Callable[[], bool] | None = None,
) -> tuple[Sureness, ...]:
    """How sure the orders are that ``plan`` (valid for ``scenario``) finishes, in the scenario's order.

    ``firsts``: good pieces that each order needs to be done; without it an order is done when the last task planned
    for it is, however many pieces were lost on the way. Orders that the plan leaves unfinished are left out: what is
    not planned cannot be played. The same ``seed`` gives the same answer.
    """
    spread, firsts = spread or Spread(), firsts or {}
    line = line_of(longer(scenario, MORE_DAYS), plan)
    played = []
    for n in range(runs):
        if n and should_stop is not None and should_stop():
            break
        played.append(Run(line, spread, Random(f"{seed} {n}")))
    done = {o.id: o for o in plan.orders if not o.reckoned}
    rows = []
    for order in scenario.orders:
        if order.id in done and order.id in line.last:
            times = [_done(run, order.id, line.last[order.id], firsts.get(order.id)) for run in played]
            goods = sorted(sum(n for _, n in run.packed.get(order.id, ())) for run in played)
            rows.append(_row(scenario, order, done[order.id].done, times, goods, firsts.get(order.id), spread, sure))
    return tuple(rows)


def _done(run: Run, order: str, last: int, need: int | None) -> int:
    """When the order is done in this run; NEVER if too few pieces come through."""
    if need is None:
        return run.ends[last]
    have = 0
    for minute, n in sorted(run.packed.get(order, ())):
        have += n
        if have >= need:
            return minute
    return NEVER


def _row(
    s: Scenario,
    order: Order,
    planned: int,
    times: list[int],
    goods: list[int],
    need: int | None,
    spread: Spread,
    sure: float,
) -> Sureness:
    times, runs = sorted(times), len(times)
    on_date = sum(t <= order.due for t in times) / runs
    enough = 1.0 if need is None else sum(n >= need for n in goods) / runs
    by = times[max(0, ceil(sure * runs) - 1)]
    usual = times[(runs - 1) // 2]
    more = 0
    if need is not None and need > 0:
        more = max(0, starts_needed(need, spread.of_form(order.form).survival, sure) - order.qty)
    sure_by = by if by < NEVER else None
    slack = None if sure_by is None else max(0, sure_by - order.due)
    text = _text(s, order, on_date, sure_by, slack, need, enough, more, sure)
    return Sureness(order.id, planned, on_date, usual if usual < NEVER else None, sure_by, slack, need, enough, more,
                    goods[runs - ceil(sure * runs)], runs, text)  # fmt: skip


def _text(
    s: Scenario,
    order: Order,
    on_date: float,
    sure_by: int | None,
    slack: int | None,
    need: int | None,
    enough: float,
    more: int,
    sure: float,
) -> str:
    chance = "nearly sure" if on_date > 0.95 else "hardly" if on_date < 0.05 else f"{round(10 * on_date)} in 10"
    text = f"Order {order.id}: on its date {chance}."
    target = f"{round(10 * sure)} in 10"
    if sure_by is not None and slack:
        late = f"{ceil(slack / DAY)} days" if slack > DAY else length(slack)
        text += f" {day_of(s, sure_by)} would be sure {target}, {late} later."
    elif sure_by is None and need is not None:
        text += f" {pieces(need)} come through {round(100 * enough)} % of the time"
        text += f"; {more} more to start make it {target}." if more else "."
    return text
