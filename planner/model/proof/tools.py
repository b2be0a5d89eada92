"""Set-ups: a tool used in a bucket was on a station when the bucket began, or is set up in it.

A set-up is part of a pressing. What is on at a bucket's end was on before or was set up, and there are as many places
as stations that press (R02). A plan that sets a tool up twice in a bucket counts once here.
"""

from __future__ import annotations

from planner.model.proof.frame import Frame, each
from planner.model.proof.green import Green, Way
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
        recheck = form.recheck if self._hands.buckets[b].opens_day and form.recheck <= form.setup else 0
        self._in_time(tool, b, recheck)
        if used is None:
            return []
        set_up = self._mip.var(self._places, cost=self._s.weights.setup)
        on = self._mip.var(self._places)
        there = [(-1.0, set_up), *((-c, v) for c, v in self._on[tool])]
        self._mip.row([(1.0, used), *there], hi=0)
        self._mip.row([(1.0, on), *there], hi=0)
        self._mip.row([(1.0, set_up), *((-1.0, w.var) for _, w in self._ways(tool, b))], hi=0)
        self._on[tool] = [(1.0, on)]
        asked = [(set_up, form.setup - recheck), (used, recheck)]
        for var, minutes in asked:
            self._f.ask_kind("press", b, var, minutes)
        return [(float(minutes), var) for var, minutes in asked]

    def _ways(self, tool: str, b: int) -> list[tuple[Green, Way]]:
        """The ways of the forms with ``tool`` that begin in bucket ``b``."""
        return [(g, w) for g in self._greens if g.form.tool == tool for w in g.ways if w.press == b]

    def _in_time(self, tool: str, b: int, recheck: int) -> None:
        """What has to be pressed by some minute, so that it comes out in its bucket, has the tool on by then.

        All of it lies between the first minute at which a mould for the tool is ready and that last one; a set-up came
        before it in the bucket, unless the tool was on when that began.
        """
        ways = self._ways(tool, b)
        if not ways:
            return
        begin, setup = min(w.at for _, w in ways), ways[0][0].form.setup
        for end in sorted({w.by for _, w in ways if w.by < self._hands.buckets[b].b}):
            chosen = [(g, w) for g, w in ways if w.by <= end]
            some = self._mip.var(1)
            for green in {g.form.id: g for g, _ in chosen}.values():
                own = [(1.0, w.var) for g, w in chosen if g is green]
                self._mip.row([*own, (-self._moulds.most(green, b), some)], hi=0)
            terms = [(each(g.form.press), w.var) for g, w in chosen]
            before = [(-c * (setup - recheck), v) for c, v in self._on[tool]]
            room = self._hands.station_minutes("press", b, begin, end)
            self._mip.row([*terms, (float(setup), some), *before], hi=room)

    def _used(self, tool: str, b: int) -> Var | None:
        """1 if a form with ``tool`` is pressed in bucket ``b``."""
        greens = [g for g in self._greens if g.form.tool == tool and any(w.press == b for w in g.ways)]
        if not greens:
            return None
        used = self._mip.var(1)
        for g in greens:
            self._mip.row([*((1.0, w.var) for w in g.ways if w.press == b), (-self._moulds.most(g, b), used)], hi=0)
        return used
