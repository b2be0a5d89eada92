"""Figures as Markdown tables, with the ratios that people ask for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from statistics import median

from planner.bench.at_random import DRAWN_SIZES, Tried
from planner.bench.measure import Asked, Grown, Measured, Repaired, Searched
from planner.bench.saved import SIZES

Cell = str | int | float | None
NONE = "–"
KEPT = ((20, "best_20s"), (60, "best_45s"))  # costs reached before that looks at these seconds are held against


def table(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> list[str]:
    """A Markdown table, all columns but the first to the right."""
    lines = [_row(head), _row(["---", *["---:"] * (len(head) - 1)])]
    return [*lines, *(_row([_cell(c) for c in row]) for row in rows), ""]


def _row(cells: Sequence[str]) -> str:
    return "| " + " | ".join(cells) + " |"


def _cell(value: Cell) -> str:
    if value is None:
        return NONE
    if isinstance(value, float):
        return f"{value:.2f}"
    return str(value)


def ratio(a: float | None, b: float | None) -> float | None:
    """a / b, or None where one of them is missing or b is 0."""
    return None if a is None or not b else a / b


def middle(values: Iterable[float | None]) -> float | None:
    """The median of the values there are."""
    there = [v for v in values if v is not None]
    return median(there) if there else None


def gap(cost: int | None, bound: int | None) -> float | None:
    """The part of the cost above the bound."""
    if cost is None or bound is None:
        return None
    return 1 - bound / cost if cost else 0.0


def costs(measured: Sequence[Measured], asked: Asked) -> list[str]:
    """What each scenario costs by each way, over the seconds."""
    at = [f"{s:g} s" for s in asked.seconds]
    head = ["scenario", "orders", "pieces", "tasks", "hand", "first", "in s", *at, "bound", "gap", "ended", "late"]
    rows: list[list[Cell]] = []
    for m in measured:
        run = m.searches[0]
        rows.append([
            m.name, m.orders, m.pieces, m.tasks, m.hand.cost, m.first.cost, m.first.seconds,
            *(x.cost for x in run.looks), run.bound, gap(run.cost, run.bound), _ended(run),
            f"{m.hand.late}, {m.first.late}, {run.late}",
        ])  # fmt: skip
    return table(head, rows)


def _ended(run: Searched) -> str:
    return f"optimal, {run.ended:.1f} s" if run.status == "optimal" else run.status if run.cost is None else ""


def ratios(measured: Sequence[Measured], asked: Asked) -> list[str]:
    """The same against the hand rule and against costs reached before, with the median of each size."""
    kept = [(s, name) for s, name in KEPT if s in asked.seconds]
    of_hand = [f"{s:g} s / hand" for s in asked.seconds]
    head = [
        "scenario",
        "hand / kept hand",
        "first / hand",
        *of_hand,
        *(f"{s} s / kept {n[5:]}" for s, n in kept),
        "gap",
    ]

    def row(m: Measured) -> list[float | None]:
        run = m.searches[0]
        looks = {x.seconds: x for x in run.looks}
        return [
            ratio(m.hand.cost, m.before.get("hand")),
            ratio(m.first.cost, m.hand.cost),
            *(ratio(x.cost, m.hand.cost) for x in run.looks),
            *(ratio(looks[s].cost, m.before.get(name)) for s, name in kept),
            gap(run.cost, run.bound),
        ]

    rows: list[list[Cell]] = [[m.name, *row(m)] for m in measured]
    for size in (*SIZES, "all"):
        those = [row(m) for m in measured if size in (m.size, "all")]
        if len(those) > 1:
            rows.append([f"**median, {size}**", *(middle(column) for column in zip(*those, strict=True))])
    return table(head, rows)


def seeds(measured: Sequence[Measured]) -> list[str]:
    """How far the searches of one scenario lie apart."""
    head = ["scenario", *(f"seed {s.seed}" for s in measured[0].searches), "dearest / cheapest"]
    rows: list[list[Cell]] = []
    for m in measured:
        found = [s.cost for s in m.searches]
        there = [c for c in found if c is not None]
        rows.append([m.name, *found, ratio(max(there), min(there)) if there else None])
    rows.append(["**median**", *[None] * len(measured[0].searches), middle(_number(r[-1]) for r in rows)])
    return table(head, rows)


def _number(cell: Cell) -> float | None:
    return float(cell) if isinstance(cell, (int, float)) else None


def repairs(measured: Sequence[Measured], seconds: float) -> list[str]:
    """Repairs by size and event: medians, with the worst of what people wait for."""
    head = [
        "size", "event", "cases", "first plan s", "at most s", "tasks moved", "of all",
        f"moved after {seconds:g} s", f"cost {seconds:g} s / first", f"cost {seconds:g} s / afresh",
        "dearer than afresh",
    ]  # fmt: skip
    rows: list[list[Cell]] = []
    for size in SIZES:
        by_event: dict[str, list[Repaired]] = {}
        for m in measured:
            for r in m.repairs if m.size == size else ():
                by_event.setdefault(r.event, []).append(r)
        rows += [[size, event, *_repair_cells(found)] for event, found in by_event.items()]
    return table(head, rows)


def _repair_cells(found: list[Repaired]) -> list[Cell]:
    def mid(value: Callable[[Repaired], float | None]) -> float | None:
        return middle(value(r) for r in found)

    worse = sum(r.cost is not None and r.afresh is not None and r.cost > r.afresh for r in found)
    return [
        len(found),
        mid(lambda r: r.first_seconds),
        max(r.first_seconds for r in found),
        mid(lambda r: float(r.first_moved)),
        mid(lambda r: ratio(r.first_moved, r.tasks)),
        mid(lambda r: float(r.moved)),
        mid(lambda r: ratio(r.cost, r.first_cost)),
        mid(lambda r: ratio(r.cost, r.afresh)),
        worse,
    ]


def memory(measured: Sequence[Measured]) -> list[str]:
    """Peak memory by size."""
    head = ["size", "planner MB", "largest child MB"]
    rows: list[list[Cell]] = []
    for size in SIZES:
        those = [m for m in measured if m.size == size]
        if those:
            rows.append([size, round(max(m.memory for m in those)), round(max(m.memory_child for m in those))])
    return table(head, rows)


def growth(grown: Sequence[Grown]) -> list[str]:
    """How the first plan grows with the season."""
    head = [
        "pieces",
        "orders",
        "days",
        "tasks",
        "hand",
        "hand s",
        "first",
        "first s",
        "ms a piece",
        "MB",
        "first / hand",
    ]
    return table(
        head,
        [
            [
                str(g.pieces), g.orders, g.days, g.tasks, g.hand.cost, g.hand.seconds, g.first.cost, g.first.seconds,
                1000 * g.first.seconds / g.pieces, round(g.memory), ratio(g.first.cost, g.hand.cost),
            ]
            for g in grown
        ],
    )  # fmt: skip


def drawn(tried: Sequence[Tried]) -> list[str]:
    """Random studios by size: what they got, how soon, and whether the hand rule or a search would be cheaper."""
    head = [
        "size", "studios", "planned", "impossible", "no plan at once", "invalid or failed", "dropped", "median s",
        "95 % within s", "most s", "slow", "dearer than by hand", "searched", "search / first",
    ]  # fmt: skip
    rows: list[list[Cell]] = []
    for size in (*DRAWN_SIZES, "all"):
        those = [t for t in tried if size in (t.size, "all")]
        if those:
            rows.append([size, *_drawn_cells(those)])
    return table(head, rows)


def _drawn_cells(those: Sequence[Tried]) -> list[Cell]:
    seconds = sorted(t.seconds for t in those)
    statuses = [t.status for t in those]
    cheaper = [t.cheaper for t in those if t.cheaper is not None]
    return [
        len(those),
        statuses.count("feasible") + statuses.count("optimal"),
        statuses.count("infeasible"),
        statuses.count("unknown"),
        sum(bool(t.faults) for t in those),
        sum(t.refused for t in those),
        median(seconds),
        seconds[(95 * len(seconds) - 1) // 100],
        seconds[-1],
        sum(t.slow for t in those),
        sum(t.dearer_than_hand for t in those),
        len(cheaper),
        middle(cheaper),
    ]
