"""Setting up (R02): which press follows which on a station, and what that asks for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from planner.model.polish.batches import BatchVar
from planner.model.polish.context import Literal, Number, Sub

SETUP, RECHECK, NOTHING = "setup", "recheck", "nothing"


@dataclass
class _Node:
    """One press on one station. ``asks`` is what a fixed press was given; None for a free one."""

    batch: BatchVar
    start: Number
    end: Number
    here: Literal
    tool: str
    day: Number
    asks: str | None


def add_setups(sub: Sub, batches: Iterable[BatchVar]) -> None:
    """Chain the presses of each station and stretch them by what the chain asks for."""
    pressed = [b for b in batches if b.press is not None]
    asked = _asked(sub)
    sub.costs.append(sub.s.weights.setup * sum(asked[b.id] == SETUP for b in pressed if not b.free))
    free = [b for b in pressed if b.free]
    chosen: dict[str, dict[str, list[Literal]]] = {b.id: {SETUP: [], RECHECK: []} for b in free}
    days = {b.id: _day(sub, b) for b in free}
    for station in sub.s.stations:
        if "press" in station.kinds and free:
            nodes = _nodes(sub, station.id, pressed, asked, days)
            _chain(sub, station.id, station.mounted, nodes, chosen)
    for b in free:
        _stretch(sub, b, chosen[b.id])


def _asked(sub: Sub) -> dict[str, str]:
    """What each press of the present plan was given, by batch."""
    out: dict[str, str] = {}
    task = sub.plan.task
    made = [b for b in sub.plan.batches if b.press is not None]
    for station in sub.s.stations:
        tool, day = station.mounted, None
        for b in sorted((b for b in made if task[b.press].station == station.id), key=lambda b: task[b.press].start):
            own, today = sub.s.form[b.form].tool, sub.s.day(task[b.press].start)
            out[b.id] = SETUP if tool != own else NOTHING if day == today else RECHECK
            tool, day = own, today
    return out


def _day(sub: Sub, b: BatchVar) -> Number:
    """The local day on which a free press starts."""
    assert b.press is not None
    off = sub.s.midnight_offset
    day = sub.m.new_int_var((sub.lo + off) // 1440, (sub.hi + off) // 1440, f"{b.id}.day")
    sub.m.add(b.press.start + off >= 1440 * day)
    sub.m.add(b.press.start + off <= 1440 * day + 1439)
    return day


def _nodes(
    sub: Sub, station: str, pressed: list[BatchVar], asked: dict[str, str], days: dict[str, Number]
) -> list[_Node]:
    """Free presses that may be on the station, and the fixed ones among which they may come, in order."""
    fixed = []
    for b in pressed:
        if not b.free and sub.plan.task[b.press_id].station == station:
            start = b.press.start
            node = _Node(b, start, b.press.end, sub.yes, b.form.tool, sub.s.day(start), asked[b.id])
            fixed.append(node)
    fixed.sort(key=lambda n: n.start)
    before = [n for n in fixed if n.start < sub.lo]
    inside = [n for n in fixed if sub.lo <= n.start < sub.hi]
    after = [n for n in fixed if n.start >= sub.hi]
    free = []
    for b in pressed:
        here = sub.tasks[b.press_id].stations.get(station) if b.free else None
        if here is not None:
            free.append(_Node(b, b.press.start, b.press.end, here, b.form.tool, days[b.id], None))
    return [*before[-1:], *inside, *after[:1], *free]


def _chain(
    sub: Sub, station: str, mounted: str | None, nodes: list[_Node], chosen: dict[str, dict[str, list[Literal]]]
) -> None:
    """Every press has one before it or is the first; every press is before at most one; time rules out circles."""
    m = sub.m
    fixed_before = bool(nodes) and nodes[0].asks is not None and nodes[0].start < sub.lo
    following: dict[int, list[Literal]] = {i: [] for i in range(len(nodes))}
    firsts: list[Literal] = []
    for j, late in enumerate(nodes):
        if j == 0 and fixed_before:
            continue
        leading: list[Literal] = []
        if not fixed_before:
            ask = RECHECK if mounted == late.tool else SETUP
            if late.asks in (None, ask):
                first = m.new_bool_var(f"{station}.first.{late.batch.id}")
                firsts.append(first)
                leading.append(first)
                _ask(late, ask, first, chosen)
        for i, early in enumerate(nodes):
            if i != j:
                for arc in _arcs(sub, early, late, chosen):
                    leading.append(arc)
                    following[i].append(arc)
        m.add(sum(leading) == late.here)
    for i, arcs in following.items():
        m.add(sum(arcs) <= nodes[i].here)
    if firsts:
        m.add_at_most_one(firsts)


def _arcs(sub: Sub, early: _Node, late: _Node, chosen: dict[str, dict[str, list[Literal]]]) -> list[Literal]:
    """Literals for "``late`` follows ``early`` at once", one for each thing this may ask for."""
    if isinstance(early.start, int) and isinstance(late.start, int) and early.start >= late.start:
        return []
    asks = [SETUP] if early.tool != late.tool else [NOTHING, RECHECK]
    out = []
    for ask in asks:
        if late.asks not in (None, ask):
            continue
        arc = sub.m.new_bool_var(f"{early.batch.id}>{late.batch.id}")
        sub.m.add(early.end <= late.start).only_enforce_if(arc)
        if ask == NOTHING:
            sub.m.add(early.day == late.day).only_enforce_if(arc)
        elif ask == RECHECK:
            sub.m.add(early.day + 1 <= late.day).only_enforce_if(arc)
        _ask(late, ask, arc, chosen)
        out.append(arc)
    return out


def _ask(node: _Node, ask: str, lit: Literal, chosen: dict[str, dict[str, list[Literal]]]) -> None:
    if node.asks is None and ask != NOTHING:
        chosen[node.batch.id][ask].append(lit)


def _stretch(sub: Sub, b: BatchVar, chosen: dict[str, list[Literal]]) -> None:
    setups, rechecks = sum(chosen[SETUP]), sum(chosen[RECHECK])
    sub.m.add(b.before == b.form.setup * setups + b.form.recheck * rechecks)
    sub.costs.append(sub.s.weights.setup * setups)
