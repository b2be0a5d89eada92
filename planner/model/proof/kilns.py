"""The ways a kiln can go through the horizon: from load to load, each as early as its bucket allows.

A node says that the kiln is empty and may be loaded in ``bucket`` from minute ``at`` on. A firing loaded at a
node is out of the kiln in some later bucket, at ``out`` at the earliest; the next load follows from there. Every minute
is a lower bound of the true one (by induction along the kiln's loads, since a later load is never drawn earlier), so
every valid plan is one path. Minutes are rounded down to a grain, which keeps the nodes few and the bounds true.
A draw later than the ``reach``-th bucket that allows it is counted, without its labour, as one in that bucket.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planner.model.proof.time import Hands, Node
from planner.scenario import InKiln, Kiln, Program, Scenario


@dataclass(frozen=True)
class Arc:
    """A firing of ``program`` loaded at ``start``, drawn in bucket ``to`` (or later if ``late``), out at ``out``."""

    program: Program | None  # None: the load now in the kiln
    start: Node | None
    to: int
    out: int
    late: bool
    after: Node | None  # where the kiln may be loaded again


@dataclass(frozen=True)
class Path:
    """All ways of one kiln: ``first`` = its node at the beginning (None: it holds a load, or is never free)."""

    kiln: Kiln
    first: Node | None
    nodes: tuple[Node, ...]
    arcs: tuple[Arc, ...]
    idle: dict[Node, Node]  # from a node to the next bucket, if nothing is loaded in this one
    present: tuple[Arc, ...]  # draws of the load now in the kiln, one of which happens


class Kilns:
    """Builds the paths."""

    def __init__(self, scenario: Scenario, hands: Hands, *, grain: int, reach: int) -> None:
        self._s, self._hands, self._grain, self._reach = scenario, hands, grain, reach

    def path(self, kiln: Kiln) -> Path:
        present: tuple[Arc, ...] = ()
        first = None
        if kiln.free_at is not None:
            first = self._node(kiln, 0, kiln.free_at)
        else:
            opens = max((w.opens for w in self._s.wip if isinstance(w, InKiln) and w.kiln == kiln.id), default=0)
            if opens + kiln.unload <= self._s.horizon:
                draws = self._draws(kiln, opens, lambda end: True)
                present = tuple(Arc(None, None, to, out, late, self._node(kiln, to, out)) for to, out, late in draws)
        return self._explored(kiln, first, present)

    def _explored(self, kiln: Kiln, first: Node | None, present: tuple[Arc, ...]) -> Path:
        """Everything that can be reached from the beginning."""
        todo = [n for n in (first, *(a.after for a in present)) if n is not None]
        seen: dict[Node, None] = dict.fromkeys(todo)
        arcs: list[Arc] = []
        idle: dict[Node, Node] = {}
        while todo:
            node = todo.pop()
            following = self._node(kiln, node.bucket + 1, 0)
            made = [a for p in kiln.programs for a in self._arcs(kiln, p, node)]
            arcs += made
            if following is not None:
                idle[node] = following
            for n in (following, *(a.after for a in made)):
                if n is not None and n not in seen:
                    seen[n] = None
                    todo.append(n)
        return Path(kiln, first, tuple(seen), tuple(arcs), idle, present)

    def _node(self, kiln: Kiln, bucket: int, at: int) -> Node | None:
        """The first node from ``bucket`` and minute ``at`` on."""
        at = max(at, kiln.free_at or 0)
        for number in range(bucket, len(self._hands.buckets)):
            end = self._hands.end_in("load", at, kiln.load, number)
            if end is not None:
                fresh = self._hands.end_in("load", kiln.free_at or 0, kiln.load, number)
                assert fresh is not None
                least, start = fresh - kiln.load, end - kiln.load
                return Node(number, least + (start - least) // self._grain * self._grain)
        return None

    def _arcs(self, kiln: Kiln, program: Program, node: Node) -> list[Arc]:
        """Firings loaded at ``node``; where a closed span bars an early load, one after it is tried as well."""
        found: dict[int, tuple[int, bool]] = {}
        for begin in (node.at, *(b for _, b in kiln.closed if b > node.at)):
            loaded = self._hands.end_in("load", begin, kiln.load, node.bucket)
            lit = None if loaded is None else lit_from(kiln, loaded)
            if loaded is None or lit is None:
                continue
            start = loaded - kiln.load

            def stays(end: int, start: int = start) -> bool:
                return not any(start < b and a < end for a, b in kiln.closed)

            for to, out, late in self._draws(kiln, lit + program.fire + program.cool, stays):
                best, beyond = found.get(to, (out, False))
                found[to] = (min(out, best), late or beyond)
        return [Arc(program, node, to, out, late, self._node(kiln, to, out)) for to, (out, late) in found.items()]

    def _draws(self, kiln: Kiln, opens: int, stays: Callable[[int], bool]) -> list[tuple[int, int, bool]]:
        """The buckets in which a load that opens at ``opens`` can be drawn, and its earliest minute out in each."""
        out: list[tuple[int, int, bool]] = []
        for bucket in self._hands.buckets:
            if bucket.b <= opens:
                continue
            end = self._hands.end_in("unload", opens, kiln.unload, bucket.number)
            if end is None or not stays(end):
                continue
            if len(out) == self._reach:
                out[-1] = (*out[-1][:2], True)
                break
            out.append((bucket.number, end, False))
        return out


def lit_from(kiln: Kiln, at: int) -> int | None:
    """The first minute from ``at`` on at which a program may be started."""
    if kiln.start_spans is None:
        return at
    return min((max(a, at) for a, b in kiln.start_spans if max(a, at) < b), default=None)
