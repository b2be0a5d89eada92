"""Pieces on their way in a sub-model: green ware into bisque, bisque into lots, lots into glost, glost into boxes.

Everywhere pieces stand on boards until they are loaded (R05), are ready before they go on (R06, R09, R10), and no more
is taken than is there (R12).
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass

from planner.model.polish.batches import BatchVar
from planner.model.polish.context import At, Literal, Number, Pool, Sub
from planner.model.polish.firings import FiringVar
from planner.model.polish.loading import Loading, Standing
from planner.scenario import Bisqued, Drying, Fired, Form, Glazed


@dataclass
class LotVar:
    """Pieces glazed together; ``sources``: (source id, count)."""

    id: str
    order: str
    count: Number
    most: int
    here: Literal
    task_id: str
    glaze: At
    sources: list[tuple[str, Number]]
    free: bool


@dataclass
class FinishVar:
    """Pieces of an order sorted and packed from one source."""

    id: str
    order: str
    source: str
    count: Number
    most: int
    here: Literal
    task_id: str
    task: At
    free: bool


class Flows:
    """All flows of one sub-model. Call the ``add_…`` methods in their order."""

    def __init__(self, sub: Sub, batches: dict[str, BatchVar], firings: dict[str, FiringVar]) -> None:
        self.sub, self.batches, self.firings = sub, batches, firings
        racks = sub.s.racks
        self.damp = Pool(sub, racks.damp, "damp")
        self.drying = Pool(sub, racks.drying, "drying")
        self.glazed = Pool(sub, racks.glazed, "glazed")
        self._loading = Loading(sub, firings)
        self.green: dict[str, Standing] = {}
        self.coated: dict[str, Standing] = {}
        self.lots: dict[str, LotVar] = {}
        self.finishes: dict[str, FinishVar] = {}

    # --- green ware into bisque ----------------------------------------------------------------------------------

    def add_green(self) -> None:
        sub = self.sub
        for b in self.batches.values():
            ware = Standing(b.id, b.form, None, None, b.count, b.most, b.kept, b.ready, b.free)
            self.green[b.id] = ware
            begin = self._damp_first(b)
            self._loading.load(ware, "bisque", self.drying, begin, b.form.boards.green)
        for w in sub.s.wip:
            if isinstance(w, Drying):
                form = sub.s.form[w.form]
                ware = Standing(w.id, form, None, None, w.count, w.count, sub.yes, w.dry_at, False)
                self.green[w.id] = ware
                self._loading.load(ware, "bisque", self.drying, 0, form.boards.green)

    def _damp_first(self, b: BatchVar) -> Number:
        """Boards on the damp rack while a batch is covered; the minute from which it stands on the drying rack."""
        sub = self.sub
        if b.covered is sub.no or b.kept is sub.no:
            return b.begin
        boards = sub.boards(b.count, b.form.boards.green, b.most)
        most = -(-b.most // b.form.boards.green)
        self.damp.take(b.begin, b.leather_end, boards, most, b.covered)
        if b.covered is sub.yes:
            return b.leather_end
        begin = sub.m.new_int_var(min(0, b.begin) if isinstance(b.begin, int) else 0, sub.end, f"{b.id}.rack")
        sub.m.add(begin == b.leather_end).only_enforce_if(b.covered)
        sub.m.add(begin == b.begin).only_enforce_if(~b.covered)
        return begin

    # --- bisque into lots ----------------------------------------------------------------------------------------

    def add_lots(self) -> None:
        sub = self.sub
        taken: dict[tuple[str, str], list[Number]] = defaultdict(list)
        for lot in sub.plan.lots:
            form = sub.s.form[sub.s.order[lot.order].form]
            sources = [(p.source, p.count) for p in lot.sources]
            self.lots[lot.id] = self._lot(lot.id, lot.order, form, sources, lot.glaze, lot.id in sub.freed.lots)
        for order in sub.freed.new_lots:
            name = sub.fresh("l")
            form = sub.s.form[sub.s.order[order].form]
            self.lots[name] = self._lot(name, order, form, [], None, True)
        for lot in self.lots.values():
            for source, n in lot.sources:
                taken[source, sub.s.order[lot.order].form].append(n)
        for (source, form_id), counts in taken.items():
            held = self._bisqued(source, form_id)
            if not isinstance(held, int) or any(not isinstance(n, int) for n in counts):
                sub.m.add(sum(counts) <= held)

    def _bisqued(self, source: str, form: str) -> Number:
        wip = self.sub.s.ware.get(source)
        return wip.count if isinstance(wip, Bisqued) else self.firings[source].holds(form)

    def _out(self, source: str) -> tuple[Number, Literal]:
        """When a source's ware can be taken on, and whether it is there."""
        wip = self.sub.s.ware.get(source)
        if wip is not None:
            return getattr(wip, "at"), self.sub.yes  # noqa: B009  (bisqued and fired wip both have it)
        return self.firings[source].unload.end, self.firings[source].here

    def _lot(
        self, name: str, order: str, form: Form, now: list[tuple[str, int]], task: str | None, free: bool
    ) -> LotVar:
        sub, m = self.sub, self.sub.m
        work = form.glaze
        fixed = sub.s.glaze[sub.s.order[order].glaze].fixed
        total = sum(n for _, n in now)
        if not free:
            assert task is not None
            at = sub.fixed(task)
            for source, _ in now:
                self._after(at.start, source, sub.yes)
            return LotVar(name, order, total, total, sub.yes, task, at, list(now), False)
        task_id = task or sub.fresh("t")
        if not sub.freed.contents:
            size = fixed + work.minutes(total)
            at = sub.free(task_id, "glaze", size, size)
            for source, _ in now:
                self._after(at.start, source, sub.yes)
            return LotVar(name, order, total, total, sub.yes, task_id, at, list(now), True)
        most = max(total, sub.s.order[order].qty + 20)
        here = sub.flag(f"{name}.here", bool(now))
        count = sub.whole(0, most, f"{name}.count", total)
        m.add(count >= 1).only_enforce_if(here)
        m.add(count == 0).only_enforce_if(~here)
        size = sub.sized(fixed + sub.minutes(work, count, most), fixed + work.minutes(most))
        at = sub.free(task_id, "glaze", size, fixed + work.minutes(1), present=here)
        sources: list[tuple[str, Number]] = []
        had: Counter[str] = Counter()
        for source, n in now:  # a lot may name a source twice, as of a kiln that holds one form as two wares
            had[source] += n
        for source in self._bisque_sources(form.id, set(had)):
            n = sub.whole(0, most, f"{source}>{name}", had[source])
            used = sub.flag(f"{source}>{name}.used", source in had)
            m.add(n >= 1).only_enforce_if(used)
            m.add(n == 0).only_enforce_if(~used)
            self._after(at.start, source, used)
            sources.append((source, n))
        m.add(count == sum(n for _, n in sources))
        return LotVar(name, order, count, most, here, task_id, at, sources, True)

    def _after(self, start: Number, source: str, used: Literal) -> None:
        """``start`` comes after ``source`` is out, if it is ``used``."""
        out, here = self._out(source)
        if isinstance(start, int) and isinstance(out, int) and here is self.sub.yes:
            return
        self.sub.m.add(start >= out).only_enforce_if(used)
        if here is not self.sub.yes:
            self.sub.m.add_implication(used, here)

    def _bisque_sources(self, form: str, had: set[str]) -> list[str]:
        """Sources of bisque of ``form`` that are out before the window closes."""
        out = [w.id for w in self.sub.s.wip if isinstance(w, Bisqued) and w.form == form]
        for f in self.firings.values():
            in_time = f.id in had or not isinstance(f.unload.end, int) or f.unload.end < self.sub.hi
            if f.stage == "bisque" and in_time and any(x == form for x, _, _ in f.pieces):
                out.append(f.id)
        return out

    # --- lots into glost -----------------------------------------------------------------------------------------

    def add_coated(self) -> None:
        sub = self.sub
        for lot in self.lots.values():
            o = sub.s.order[lot.order]
            form = sub.s.form[o.form]
            programs = sub.s.glaze[o.glaze].programs
            ready = lot.glaze.end + form.glaze_dry
            ware = Standing(lot.id, form, lot.order, programs, lot.count, lot.most, lot.here, ready, lot.free)
            self.coated[lot.id] = ware
            self._loading.load(ware, "glost", self.glazed, lot.glaze.end, form.boards.glazed)
        for w in sub.s.wip:
            if isinstance(w, Glazed):
                form = sub.s.form[w.form]
                programs = sub.s.glaze[w.glaze].programs
                ware = Standing(w.id, form, w.order, programs, w.count, w.count, sub.yes, w.at, False)
                self.coated[w.id] = ware
                self._loading.load(ware, "glost", self.glazed, 0, form.boards.glazed)

    # --- glost into boxes ----------------------------------------------------------------------------------------

    def add_finishes(self) -> None:
        sub = self.sub
        taken: dict[tuple[str, str], list[Number]] = defaultdict(list)
        for x in sub.plan.finishes:
            free = x.id in sub.freed.finishes
            self.finishes[x.id] = self._finish(x.id, x.order, x.source, x.count, x.task, free)
        had = {(x.source, x.order) for x in sub.plan.finishes}
        for f in self.firings.values():
            if f.open and f.stage == "glost":
                for order in dict.fromkeys(o for _, o, _ in f.pieces if o is not None):
                    for _ in range(0 if (f.id, order) in had else sub.freed.finishes_each):
                        name = sub.fresh("n")
                        self.finishes[name] = self._finish(name, order, f.id, 0, None, True)
        for x in self.finishes.values():
            taken[x.source, x.order].append(x.count)
        for (source, order), counts in taken.items():
            held = self._fired(source, order)
            if not isinstance(held, int) or any(not isinstance(n, int) for n in counts):
                sub.m.add(sum(counts) <= held)

    def _fired(self, source: str, order: str) -> Number:
        wip = self.sub.s.ware.get(source)
        if isinstance(wip, Fired):
            return wip.count
        return self.firings[source].holds(self.sub.s.order[order].form, order)

    def _finish(self, name: str, order: str, source: str, now: int, task: str | None, free: bool) -> FinishVar:
        sub = self.sub
        form = sub.s.form[sub.s.order[order].form]
        if not free:
            assert task is not None
            at = sub.fixed(task)
            self._after(at.start, source, sub.yes)
            return FinishVar(name, order, source, now, now, sub.yes, task, at, False)
        task_id = task or sub.fresh("t")
        if not sub.freed.contents:
            size = form.finish.minutes(now)
            at = sub.free(task_id, "finish", size, size)
            self._after(at.start, source, sub.yes)
            return FinishVar(name, order, source, now, now, sub.yes, task_id, at, True)
        most = max(now, sub.s.order[order].qty)
        here = sub.flag(f"{name}.here", now > 0)
        count = sub.whole(0, most, f"{name}.count", now)
        sub.m.add(count >= 1).only_enforce_if(here)
        sub.m.add(count == 0).only_enforce_if(~here)
        size = sub.sized(sub.minutes(form.finish, count, most), form.finish.minutes(most))
        at = sub.free(task_id, "finish", size, form.finish.minutes(1), present=here)
        self._after(at.start, source, here)
        return FinishVar(name, order, source, count, most, here, task_id, at, True)

    def close(self) -> None:
        for rack in (self.damp, self.drying, self.glazed):
            rack.close()
