"""The tables of one scenario and plan."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from planner.facts.records import NOW, Glost, Green, Kilnful, Made, Pieces, SetUp, Use, Ware
from planner.plan import Batch, Firing, Lot, Plan, Task
from planner.scenario import (
    Bisqued,
    Drying,
    Fired,
    Form,
    Glazed,
    InKiln,
    InMould,
    Order,
    Released,
    Scenario,
    Span,
)


@dataclass(frozen=True)
class Facts:
    """The tables of one scenario and plan, each worked out when it is first asked for."""

    scenario: Scenario
    plan: Plan

    @cached_property
    def task(self) -> dict[str, Task]:
        """Tasks by id; of two with one id, the first."""
        return {t.id: t for t in reversed(self.plan.tasks)}

    def find(self, task_id: str | None, kind: str | None) -> Task | None:
        """The task of that id if it has that kind."""
        task = self.task.get(task_id) if task_id is not None else None
        return task if task is not None and task.kind == kind else None

    @cached_property
    def spoiled(self) -> frozenset[str]:
        return frozenset(self.plan.spoiled)

    @cached_property
    def set_ups(self) -> dict[str, SetUp]:
        """What comes before pressing, by press task (R02)."""
        presses: dict[str | None, dict[str, tuple[Task, Form]]] = defaultdict(dict)
        for batch in self.plan.batches:
            task, form = self.find(batch.press, "press"), self.scenario.form.get(batch.form)
            if task is not None and form is not None:
                presses[task.station].setdefault(task.id, (task, form))
        return {
            task_id: set_up
            for station, group in presses.items()
            for task_id, set_up in self._set_ups_at(station, list(group.values()))
        }

    def _set_ups_at(self, station_id: str | None, presses: list[tuple[Task, Form]]) -> Iterator[tuple[str, SetUp]]:
        station = self.scenario.station.get(station_id) if station_id is not None else None
        tool = station.mounted if station else None
        last_day: int | None = None  # None: the tool was mounted at minute 0
        for task, form in sorted(presses, key=lambda p: (p[0].start, p[0].id)):
            day = self.scenario.day(task.start)
            if tool != form.tool:
                yield task.id, SetUp(form.setup, True)
            elif last_day is None or last_day < day:
                yield task.id, SetUp(form.recheck, False)
            else:
                yield task.id, SetUp(0, False)
            tool, last_day = form.tool, day

    @cached_property
    def batches(self) -> tuple[Made, ...]:
        return tuple(self._make(b) for b in self.plan.batches)

    @cached_property
    def made(self) -> dict[str, Made]:
        return {m.batch.id: m for m in reversed(self.batches)}

    def _make(self, batch: Batch) -> Made:
        ware = self.scenario.ware.get(batch.id)
        wip = ware if isinstance(ware, InMould | Released) else None
        form = self.scenario.form.get(wip.form if wip else batch.form)
        spoiled = wip is not None and batch.id in self.spoiled
        todo = form.steps if form and not spoiled else ()
        if isinstance(wip, Released):
            todo = todo[wip.steps_done :]
        press = self.find(batch.press, "press") if wip is None else None
        release = self.find(batch.release, "release") if not isinstance(wip, Released) else None
        kinds = [s.kind for s in todo[: len(batch.steps)]] + [None] * (len(batch.steps) - len(todo))
        return Made(
            batch=batch,
            form=form,
            count=wip.count if wip else batch.count,
            wip=wip,
            spoiled=spoiled,
            press=press,
            release=release,
            todo=todo,
            steps=tuple(self.find(t, k) for t, k in zip(batch.steps, kinds, strict=True)),
            pressed_end=wip.pressed.b if isinstance(wip, InMould) else press.end if press else None,
            first=wip.first if isinstance(wip, InMould) else self._first_piece(press, form),
            taken_out=wip.released if isinstance(wip, Released) else _span(release),
        )

    def _first_piece(self, press: Task | None, form: Form | None) -> int | None:
        if press is None or form is None:
            return None
        # the fixed minutes of the press work are left out: the earlier, safer reckoning
        return press.start + self.set_ups[press.id].minutes + -(-form.press.each_s // 60)

    @cached_property
    def lifted(self) -> dict[str, Task]:
        """The lift tasks of the casts that the plan makes moulds of."""
        lifts = {c.id: self.find(c.lift, "lift") for c in reversed(self.plan.casts) if c.id not in self.spoiled}
        return {cast_id: lift for cast_id, lift in lifts.items() if lift is not None}

    def mould_ready(self, mould_id: str) -> int | None:
        """First minute a mould is dry enough for its first press, if it is empty now; ``None`` if not known."""
        if mould_id in self.scenario.mould:
            return self.scenario.mould[mould_id].ready
        lift, cast = self.lifted.get(mould_id), self.scenario.cast.get(mould_id)
        return lift.end + cast.dry if lift and cast else None

    @cached_property
    def present(self) -> dict[str, list[InKiln]]:
        """What stands in each kiln at minute 0."""
        held: dict[str, list[InKiln]] = defaultdict(list)
        for w in self.scenario.wip:
            if isinstance(w, InKiln):
                held[w.kiln].append(w)
        return dict(held)

    def opens(self, kiln_id: str) -> int:
        """Minute the load now in the kiln may be opened."""
        return max(w.opens for w in self.present[kiln_id])

    @cached_property
    def kilnfuls(self) -> tuple[Kilnful, ...]:
        return tuple(self._kilnful(f) for f in self.plan.firings)

    @cached_property
    def kilnful(self) -> dict[str, Kilnful]:
        return {k.firing.id: k for k in reversed(self.kilnfuls)}

    def _kilnful(self, firing: Firing) -> Kilnful:
        kiln = self.scenario.kiln.get(firing.kiln)
        present = firing.id == NOW + firing.kiln and firing.kiln in self.present
        program = kiln.program(firing.program) if kiln and firing.program is not None else None
        if present:
            held = self.present[firing.kiln]
            stage: str | None = held[0].fired_stage
            pieces = tuple(Pieces(w.id, w.form, w.order, w.count) for w in held)
        else:
            stage = program.stage if program else None
            pieces = tuple(self._pieces(p.source, p.count) for p in firing.pieces)
        return Kilnful(
            firing=firing,
            kiln=kiln,
            program=None if present else program,
            stage=stage,
            load=None if present else self.find(firing.load, "load"),
            unload=self.find(firing.unload, "unload"),
            present=present,
            pieces=pieces,
        )

    def _pieces(self, source: str, count: int) -> Pieces:
        green, glazed = self.green.get(source), self.glazed.get(source)
        if green:
            return Pieces(source, green.form, None, count)
        return Pieces(source, glazed.form if glazed else None, glazed.order if glazed else None, count)

    @cached_property
    def green(self) -> dict[str, Green]:
        """Sources for bisque firings: batches and drying ware."""
        found = {
            m.batch.id: Green(m.form.id, m.count, m.dry_at, m.spoiled) for m in self.made.values() if m.form is not None
        }
        dry = {w.id: Green(w.form, w.count, w.dry_at, False) for w in self.scenario.wip if isinstance(w, Drying)}
        return found | dry

    @cached_property
    def glazed(self) -> dict[str, Glost]:
        """Sources for glost firings: lots and glazed ware."""
        found = {}
        for lot in reversed(self.plan.lots):
            order, task = self.scenario.order.get(lot.order), self.find(lot.glaze, "glaze")
            form = self.lot_form(lot)
            if order is not None and form is not None:
                ready = task.end + form.glaze_dry if task else None
                found[lot.id] = Glost(form.id, order.id, order.glaze, lot.count, ready)
        ware = [w for w in self.scenario.wip if isinstance(w, Glazed)]
        return found | {w.id: Glost(w.form, w.order, w.glaze, w.count, w.at) for w in ware}

    @cached_property
    def lots(self) -> dict[str, Lot]:
        return {x.id: x for x in reversed(self.plan.lots)}

    def lot_form(self, lot: Lot) -> Form | None:
        return self.order_form(self.scenario.order.get(lot.order))

    def order_form(self, order: Order | None) -> Form | None:
        return self.scenario.form.get(order.form) if order else None

    @cached_property
    def bisque(self) -> dict[str, Ware]:
        """Sources for glazing, by form: bisque firings and bisqued ware."""
        found = {k.firing.id: Ware(_count(k, "form"), k.out) for k in self.kilnful.values() if k.stage == "bisque"}
        ware = {w.id: Ware({w.form: w.count}, w.at) for w in self.scenario.wip if isinstance(w, Bisqued)}
        return found | ware

    @cached_property
    def fired(self) -> dict[str, Ware]:
        """Sources for finishing, by order: glost firings and fired ware (ware for stock is nobody's)."""
        found = {k.firing.id: Ware(_count(k, "order"), k.out) for k in self.kilnful.values() if k.stage == "glost"}
        ware = {
            w.id: Ware({w.order: w.count} if w.order is not None else {}, w.at)
            for w in self.scenario.wip
            if isinstance(w, Fired)
        }
        return found | ware

    @cached_property
    def uses(self) -> tuple[Use, ...]:
        """Every reference of the plan to a task."""
        return tuple(self._uses())

    def _uses(self) -> Iterator[Use]:
        for m in self.batches:
            yield from self._batch_uses(m)
        for k in self.kilnfuls:
            f, kiln = k.firing, k.kiln
            if f.load is not None:
                yield Use("firing", f.id, f.load, "load", kiln.load if kiln else None)
            yield Use("firing", f.id, f.unload, "unload", kiln.unload if kiln else None)
        for lot in self.plan.lots:
            yield Use("lot", lot.id, lot.glaze, "glaze", None)
        for n in self.plan.finishes:
            form = self.order_form(self.scenario.order.get(n.order))
            yield Use("finish", n.id, n.task, "finish", form.finish.minutes(n.count) if form else None)
        for c in self.plan.casts:
            cast = self.scenario.cast.get(c.id)
            if c.pour is not None:
                yield Use("cast", c.id, c.pour, "pour", cast.pour if cast else None)
            yield Use("cast", c.id, c.lift, "lift", cast.lift if cast else None)
        for j in self.plan.jobs:
            job = self.scenario.job.get(j.id)
            yield Use("job", j.id, j.task, "job", job.minutes if job else None)

    @staticmethod
    def _batch_uses(m: Made) -> Iterator[Use]:
        batch = m.batch
        if batch.press is not None:
            yield Use("batch", batch.id, batch.press, "press", None)
        if batch.release is not None:
            yield Use("batch", batch.id, batch.release, "release", m.form.release.minutes(m.count) if m.form else None)
        for i, task_id in enumerate(batch.steps):
            step = m.todo[i] if i < len(m.todo) else None
            yield Use(
                "batch", batch.id, task_id, step.kind if step else None, step.work.minutes(m.count) if step else None
            )


def _span(task: Task | None) -> Span | None:
    return Span(task.start, task.end) if task else None


def _count(kilnful: Kilnful, by: str) -> dict[str, int]:
    counts: dict[str, int] = defaultdict(int)
    for p in kilnful.pieces:
        key = p.form if by == "form" else p.order
        if key is not None:
            counts[key] += p.count
    return dict(counts)
