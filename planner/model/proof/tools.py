"""Set-ups: a tool used in a bucket was on a station when the bucket began, or is set up in it.

What is on at a bucket's end was on before or was set up, and there are as many places as stations that press (R02).
"""

from __future__ import annotations

from planner.model.proof.frame import Frame, each
from planner.model.proof.green import Green
from planner.model.proof.mip import Term, Var
from planner.model.proof.moulds import Moulds
from planner.scenario import Form


class Tools:
    """The rows of the tools on the stations that press, bucket by bucket."""

    def __init__(self, frame: Frame, moulds: Moulds, greens: list[Green]) -> None:
        self._f, self._s, self._hands, self._mip = frame, frame.s, frame.hands, frame.mip
        self._moulds, self._greens = moulds, greens
        stations = [x for x in self._s.stations if "press" in x.kinds]
        self._places = len(stations)
        tools = {g.form.tool: g.form for g in greens if g.ways}
        self._on: dict[str, list[Term]] = {
            t: [(float(sum(x.mounted == t for x in stations)), self._f.one)] for t in tools
        }
        for b in self._f.numbers:
            self._bucket(b, tools)

    def _bucket(self, b: int, tools: dict[str, Form]) -> None:
        machine = [t for tool, form in tools.items() for t in self._tool(tool, form, b)]
        self._mip.row([t for terms in self._on.values() for t in terms], hi=self._places)
        for green in self._greens:
            machine += [(each(green.form.press), w.var) for w in green.ways if w.press == b]
        if machine:
            self._mip.row(machine, hi=self._hands.station_minutes("press", b))

    def _tool(self, tool: str, form: Form, b: int) -> list[Term]:
        """Set-ups and rechecks of one tool in a bucket; the minutes they take of a station."""
        used = self._used(tool, b)
        set_up = self._mip.var(self._places, cost=self._s.weights.setup)
        on = self._mip.var(self._places)
        there = [(-1.0, set_up), *((-c, v) for c, v in self._on[tool])]
        if used is not None:
            self._mip.row([(1.0, used), *there], hi=0)
        self._mip.row([(1.0, on), *there], hi=0)
        self._on[tool] = [(1.0, on)]
        recheck = form.recheck if self._hands.buckets[b].opens_day and form.recheck <= form.setup else 0
        asked = [(set_up, form.setup if used is None else form.setup - recheck)]
        asked += [(used, recheck)] if used is not None else []
        for var, minutes in asked:
            self._f.ask_kind("press", b, var, minutes)
        return [(float(minutes), var) for var, minutes in asked]

    def _used(self, tool: str, b: int) -> Var | None:
        """1 if a form with ``tool`` is pressed in bucket ``b``."""
        greens = [g for g in self._greens if g.form.tool == tool and any(w.press == b for w in g.ways)]
        if not greens:
            return None
        used = self._mip.var(1)
        for g in greens:
            self._mip.row([*((1.0, w.var) for w in g.ways if w.press == b), (-self._moulds.most(g, b), used)], hi=0)
        return used
