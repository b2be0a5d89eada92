"""A studio some time later, everything done as planned: the scenario that a re-plan then starts from."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from planner.facts import Facts, Kilnful, Made
from planner.plan import Plan
from planner.scenario import (
    Bisqued,
    Drying,
    Fired,
    Glazed,
    InKiln,
    InMould,
    Kiln,
    Mould,
    Person,
    Released,
    Scenario,
    Span,
    Station,
    Window,
    Wip,
)
from tests.planner.builders import DAY


def later(scenario: Scenario, plan: Plan, days: int, minute: int = 0) -> Scenario:
    """``scenario`` ``days`` days on, at or soon after ``minute`` of the local day, with ``plan`` as the plan before.

    The first minute is taken at which no task is under way.
    """
    m = days * DAY - scenario.midnight_offset % DAY + minute
    while any(t.start < m < t.end for t in plan.tasks):
        m += 1
    return _Later(scenario, plan, m).scenario()


class _Later:
    def __init__(self, scenario: Scenario, plan: Plan, m: int) -> None:
        self.s, self.plan, self.m, self.facts = scenario, plan, m, Facts(scenario, plan)
        self.loaded: dict[str, int] = {}  # pieces taken to a kiln by now, by source
        for f in plan.firings:
            if f.load is not None and self.begun(f.load):
                for p in f.pieces:
                    self.loaded[p.source] = self.loaded.get(p.source, 0) + p.count

    def begun(self, task: str | None) -> bool:
        return task is not None and self.plan.task[task].start < self.m

    def scenario(self) -> Scenario:
        s, m = self.s, self.m
        at = datetime.fromisoformat(s.start) + timedelta(minutes=m)
        done: dict[str, int] = {}
        for n in self.plan.finishes:
            if self.begun(n.task):
                done[n.order] = done.get(n.order, 0) + n.count
        orders = tuple(
            replace(o, qty=o.qty - done.get(o.id, 0), due=o.due - m) for o in s.orders if o.qty > done.get(o.id, 0)
        )
        named = {o.id for o in orders}
        stocked = [w for w in self.wip() if getattr(w, "order", None) not in named | {None}]  # more than was owed
        wip = tuple(replace(w, order=None) if w in stocked else w for w in self.wip())
        wip = tuple(w for w in wip if not (w.stage == "fired" and w.order is None))
        tasks = tuple(replace(t, start=t.start - m, end=t.end - m) for t in self.plan.tasks)
        firings = tuple(f if f.fire is None else replace(f, fire=f.fire - m) for f in self.plan.firings)
        return replace(
            s,
            start=at.isoformat(timespec="minutes"),
            horizon=s.horizon - m,
            people=tuple(self.person(p) for p in s.people),
            stations=tuple(self.station(x) for x in s.stations),
            kilns=tuple(self.kiln(k) for k in s.kilns),
            moulds=self.moulds(),
            casts=self.casts(),
            jobs=tuple(
                replace(j, window=Window(max(0, j.window.lo - m), j.window.hi - m))
                for j in s.jobs
                if not self.begun(next(x.task for x in self.plan.jobs if x.id == j.id))
            ),
            orders=orders,
            wip=wip,
            previous=replace(self.plan, tasks=tasks, firings=firings),
        )

    def spans(self, spans: tuple[Span, ...]) -> tuple[Span, ...]:
        return tuple(Span(max(0, a - self.m), b - self.m) for a, b in spans if b > self.m)

    def person(self, p: Person) -> Person:
        return replace(p, hours=self.spans(p.hours), extra=self.spans(p.extra))

    def station(self, x: Station) -> Station:
        presses = [b for b in self.facts.batches if b.press is not None and b.press.station == x.id]
        begun = [b for b in presses if b.press is not None and b.press.start < self.m]
        last = max(begun, key=lambda b: b.press.start if b.press else 0, default=None)
        tool = x.mounted if last is None or last.form is None else last.form.tool
        return replace(x, free_at=max(0, x.free_at - self.m), mounted=tool, closed=self.spans(x.closed))

    def kiln(self, k: Kiln) -> Kiln:
        inside = any(f.firing.kiln == k.id for f in self.in_kilns())
        left = k.free_at is None and not any(f.id == f"now:{k.id}" for f in self.plan.firings)
        free = None if inside or left else max(0, (k.free_at or 0) - self.m)
        starts = None if k.start_spans is None else self.spans(k.start_spans)
        return replace(k, free_at=free, closed=self.spans(k.closed), start_spans=starts)

    def in_kilns(self) -> list[Kilnful]:
        return [
            k
            for k in self.facts.kilnfuls
            if not self.begun(k.firing.unload) and (k.present or self.begun(k.firing.load))
        ]

    def moulds(self) -> tuple[Mould, ...]:
        m, held = self.m, {}
        uses: dict[str, int] = {}
        for b in self.facts.batches:
            if b.wip is None and not self.begun(b.batch.press):
                continue
            for mould in b.batch.moulds:
                out = b.release is not None and b.release.start < m
                rest = b.form.mould_rest if b.form else 0
                held[mould] = b.release.end + rest - m if out and b.release else None
                uses[mould] = uses.get(mould, 0) + (b.wip is None)
        made = [
            Mould(c.id, c.form, self.facts.lifted[c.id].end + c.dry, c.uses)
            for c in self.s.casts
            if c.id in self.facts.lifted and self.begun(self.facts.lifted[c.id].id)
        ]
        return tuple(
            replace(
                x,
                ready=held[x.id] if x.id in held else None if x.ready is None else x.ready - m,
                uses_left=x.uses_left - uses.get(x.id, 0),
            )
            for x in (*self.s.moulds, *made)
        )

    def casts(self) -> tuple:
        planned = {c.id: c for c in self.plan.casts}
        left = []
        for c in self.s.casts:
            p = planned.get(c.id)
            if p is not None and self.begun(p.lift):
                continue
            poured = c.poured if c.poured is not None else None
            if p is not None and p.pour is not None and self.begun(p.pour):
                poured = self.plan.task[p.pour].end
            left.append(replace(c, poured=None if poured is None else poured - self.m))
        return tuple(left)

    def wip(self) -> list[Wip]:
        found: list[Wip] = []
        for b in self.facts.batches:
            if not b.spoiled and (b.wip is not None or self.begun(b.batch.press)):
                found += self.batch(b)
        for w in self.s.wip:
            if w.stage in ("drying", "glazed"):
                self.add(found, w, w.count - self.loaded.get(w.id, 0))
        for w in (w for w in self.s.wip if w.stage in ("bisqued", "fired")):
            self.add(found, w, w.count - self.used(w.id, w.form, getattr(w, "order", None)))
        for lot in self.plan.lots:
            o = self.s.order[lot.order]
            if self.begun(lot.glaze):
                at = self.plan.task[lot.glaze].end + self.s.form[o.form].glaze_dry - self.m
                ware = Glazed(lot.id, o.form, lot.count, o.id, o.glaze, at)
                self.add(found, ware, lot.count - self.loaded.get(lot.id, 0))
        for k in self.facts.kilnfuls:
            found += self.kilnful(k)
        return found

    def add(self, found: list[Wip], w: Wip, count: int) -> None:
        """``w`` as it stands now, unless all of it has gone on; minutes of the wip that was there are shifted."""
        if count > 0:
            old = w.id in self.s.ware
            shift = {k: getattr(w, k) - self.m for k in ("at", "dry_at") if old and hasattr(w, k)}
            found.append(replace(w, count=count, **shift))

    def used(self, source: str, form: str, order: str | None) -> int:
        """Pieces of a bisqued or fired source that have gone on."""
        glazed = sum(
            p.count
            for x in self.plan.lots
            if self.begun(x.glaze) and self.s.order[x.order].form == form
            for p in x.sources
            if p.source == source
        )
        finished = [n for n in self.plan.finishes if self.begun(n.task) and n.source == source and n.order == order]
        return sum(n.count for n in finished) if order is not None else glazed

    def batch(self, b: Made) -> list[Wip]:
        m, x = self.m, b.batch
        assert b.form is not None
        if b.taken_out is None or b.taken_out.a >= m:
            pressed = b.wip.pressed if isinstance(b.wip, InMould) else None
            if b.press is not None:
                pressed = Span(b.press.start, b.press.end)
            assert pressed is not None
            assert b.first is not None
            until = b.wip.until if isinstance(b.wip, InMould) else None
            span = Span(pressed.a - m, pressed.b - m)
            until = None if until is None else until - m
            return [InMould(x.id, x.form, b.count, x.moulds, span, b.first - m, x.covered_in_mould, until)]
        out = Span(b.taken_out.a - m, b.taken_out.b - m)
        todo = [t for t in x.steps if not self.begun(t)]
        if todo:
            until = b.wip.until if isinstance(b.wip, Released) else None
            until = None if until is None else until - m
            done = len(b.form.steps) - len(todo)
            return [Released(x.id, x.form, b.count, out, x.covered, done, until)]
        left = b.count - self.loaded.get(x.id, 0)
        assert b.dry_at is not None
        return [Drying(x.id, x.form, left, b.dry_at - m)] if left else []

    def kilnful(self, k: Kilnful) -> list[Wip]:
        f, m = k.firing, self.m
        if not k.present and not self.begun(f.load):
            return []
        by: dict[tuple[str, str | None], int] = {}
        for p in k.pieces:
            key = (p.form or "", p.order if k.stage == "glost" else None)
            by[key] = by.get(key, 0) + p.count
        found: list[Wip] = []
        for n, ((form, order), count) in enumerate(by.items()):
            name = f"{f.id.replace(':', '-')}-{n}"
            if not self.begun(f.unload):
                opens = self.facts.opens(f.kiln) if k.present else (f.fire or 0) + k.program.fire + k.program.cool
                found.append(InKiln(name, form, count, f.kiln, k.stage or "", opens - m, order))
                continue
            left = count - self.used(f.id, form, order)
            at = self.plan.task[f.unload].end - m
            if left > 0:
                bisque = k.stage == "bisque"
                found.append(Bisqued(name, form, left, at) if bisque else Fired(name, form, left, order, at))
        return found
