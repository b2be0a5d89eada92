"""Which kiln load ware goes into, and its boards until then (R05, R06, R09, R12)."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from planner.model.polish.context import Literal, Number, Pool, Sub
from planner.model.polish.firings import FiringVar
from planner.scenario import Form


@dataclass
class Standing:
    """Ware on a rack that can be loaded: a batch, ``drying`` wip, a lot or ``glazed`` wip.

    ``loads``: what goes into which firing (firing id, count), filled here for rebuilding the plan.
    """

    id: str
    form: Form
    order: str | None
    programs: tuple[str, ...] | None
    count: Number
    most: int
    here: Literal
    ready: Number
    free: bool
    loads: list[tuple[str, Number]] = field(default_factory=list)


class Loading:
    """The loads of one sub-model: ware that stands on a rack, and the firings it may go into."""

    def __init__(self, sub: Sub, firings: dict[str, FiringVar]) -> None:
        self.sub, self.firings = sub, firings
        self._loaded: dict[str, list[tuple[str, int]]] = defaultdict(list)
        for f in sub.plan.firings:
            for part in f.pieces:
                self._loaded[part.source].append((f.id, part.count))

    def load(self, ware: Standing, stage: str, rack: Pool, begin: Number, per_board: int) -> None:
        """Which firings ``ware`` goes into, and its boards until then."""
        now = sorted(self._loaded[ware.id], key=lambda x: self._loads_at(x[0]))
        choices = self._choices(ware, stage)
        bound = [f for f, _ in now if not self.firings[f].open]
        if bound or not choices or not self._can_come(ware, choices, now):
            self._keep_loads(ware, now, rack, begin, per_board)
        else:
            self._choose_loads(ware, choices, now, rack, begin, per_board)

    def _loads_at(self, firing: str) -> int:
        f = next(f for f in self.sub.plan.firings if f.id == firing)
        return 0 if f.load is None else self.sub.plan.task[f.load].start

    def _choices(self, ware: Standing, stage: str) -> list[FiringVar]:
        """Open firings that could take ``ware``."""
        fits = ware.form.shelving(stage).per_shelf
        out = []
        for f in self.firings.values():
            allowed = ware.programs is None or any(p in ware.programs for p in f.programs)
            if f.open and f.stage == stage and f.kiln.id in fits and allowed:
                out.append(f)
        return out

    def _can_come(self, ware: Standing, choices: list[FiringVar], now: list[tuple[str, int]]) -> bool:
        """Whether the pieces may be ready inside the window at all."""
        return bool(now) or ware.free or not isinstance(ware.ready, int) or ware.ready < self.sub.hi

    def _keep_loads(
        self, ware: Standing, now: list[tuple[str, int]], rack: Pool, begin: Number, per_board: int
    ) -> None:
        """The same counts into the same firings, in the same order of loading."""
        m, left, at = self.sub.m, ware.count, begin
        most = ware.most
        if now and ware.here is not self.sub.yes:
            m.add(ware.here == 1)
        if now and not isinstance(ware.count, int):
            m.add(ware.count >= sum(n for _, n in now))
        for firing, n in now:
            f = self.firings[firing]
            assert f.load is not None
            if f.here is not self.sub.yes:
                m.add(f.here == 1)
            if f.free or ware.free:
                m.add(f.load.start >= ware.ready)
                if at is not begin:
                    m.add(f.load.start >= at)
            self._into(ware, f, n)
            for p, on in f.programs.items() if f.free else ():
                if ware.programs is not None and p not in ware.programs:
                    m.add(on == 0)
            rack.take(at, f.load.start, self.sub.boards(left, per_board, most), -(-most // per_board), ware.here)
            left, at = left - n, f.load.start
            most = max(0, most - n)
        if most > 0:
            rack.take(at, self.sub.end, self.sub.boards(left, per_board, most), -(-most // per_board), ware.here)

    def _choose_loads(
        self,
        ware: Standing,
        choices: list[FiringVar],
        now: list[tuple[str, int]],
        rack: Pool,
        begin: Number,
        per_board: int,
    ) -> None:
        """One or more parts, each into one of ``choices`` or none, loaded in order; boards shrink as they go."""
        sub, m = self.sub, self.sub.m
        left, at, most_boards = ware.count, begin, -(-ware.most // per_board)
        for part in range(max(1, len(now))):
            goes: list[Literal] = []
            taken: list[Number] = []
            gone = sub.m.new_int_var(0, sub.end, f"{ware.id}.gone{part}")
            for f in choices:
                there = now[part] == (f.id, now[part][1]) if part < len(now) else False
                lit = sub.flag(f"{ware.id}>{f.id}.{part}", there)
                n = sub.whole(0, ware.most, f"{ware.id}>{f.id}.{part}.n", now[part][1] if there else 0)
                m.add(n >= 1).only_enforce_if(lit)
                m.add(n == 0).only_enforce_if(~lit)
                assert f.load is not None
                m.add(gone == f.load.start).only_enforce_if(lit)
                m.add(f.load.start >= ware.ready).only_enforce_if(lit)
                m.add_implication(lit, f.here)
                if ware.here is not sub.yes:
                    m.add_implication(lit, ware.here)
                for p, on in f.programs.items():
                    if ware.programs is not None and p not in ware.programs:
                        m.add_bool_or([~lit, ~on])
                goes.append(lit)
                taken.append(n)
                self._into(ware, f, n)
            m.add_at_most_one(goes)
            m.add(gone == sub.end).only_enforce_if([~x for x in goes])
            if at is not begin:
                m.add(gone >= at)
            rack.take(at, gone, sub.boards(left, per_board, ware.most), most_boards, ware.here)
            left, at = left - sum(taken), gone
        m.add(left >= 0)
        rack.take(at, sub.end, sub.boards(left, per_board, ware.most), most_boards, ware.here)

    def _into(self, ware: Standing, firing: FiringVar, n: Number) -> None:
        ware.loads.append((firing.id, n))
        firing.pieces.append((ware.form.id, ware.order, n))
