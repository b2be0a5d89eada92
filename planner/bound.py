"""A proven lower bound on the cost of every valid plan.

Each piece is followed alone, with every person, station, mould and kiln to itself and one-piece tasks: no plan can have
it ready earlier. What it then costs by lateness, and the price of the casts that must be poured, no plan can save.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from planner.scenario import (
    Bisqued,
    Drying,
    Fired,
    Form,
    Glazed,
    InKiln,
    InMould,
    Kiln,
    Order,
    Released,
    Scenario,
    Span,
    Step,
    Wip,
)

STAGES = ("none", "green", "bisqued", "glazed", "fired")


@dataclass(frozen=True)
class _Chain:
    """When ``count`` pieces can be finished at the earliest (None: not at all) and how far they can come."""

    count: int
    finished: int | None
    stage: str


def lower_bound(scenario: Scenario) -> int:
    """At least this much every valid plan costs."""
    poured = sum(c.cost for c in scenario.casts if c.required and c.poured is None)
    alone = Alone(scenario)
    return poured + sum(_order_bound(scenario, alone, o) for o in scenario.orders)


def _order_bound(scenario: Scenario, alone: Alone, order: Order) -> int:
    """Lateness that the order cannot avoid: its pieces by the shortest chains there are."""
    w, left, late = scenario.weights, order.qty, 0
    tardy = False
    for chain in sorted(alone.chains(order), key=lambda c: (alone.counted_at(c), c.count)):
        pieces = min(left, chain.count)
        over = max(0, alone.counted_at(chain) - order.due)
        late += pieces * w.late * order.weight * -(-over // w.late_step)
        tardy = tardy or (pieces > 0 and over > 0)
        left -= pieces
    return late + w.tardy * order.weight * tardy


class Alone:
    """The earliest minutes for one piece that has the studio to itself."""

    def __init__(self, scenario: Scenario) -> None:
        self._s = scenario
        self._duty: dict[str, list[Span]] = {p.id: _joined([*p.hours, *p.extra]) for p in scenario.people}
        self.attended = cache(self._attended)

    def counted_at(self, chain: _Chain) -> int:
        """The earliest minute a piece of ``chain`` can count: finished, or reckoned at the stage it reaches."""
        reckoned = self._s.horizon + min(getattr(self._s.to_finish, s) for s in STAGES[: STAGES.index(chain.stage) + 1])
        return reckoned if chain.finished is None else min(chain.finished, reckoned)

    def chains(self, order: Order) -> list[_Chain]:
        """One chain per source that the order could draw from, and one for what is still to be pressed."""
        form = self._s.form[order.form]
        out = [self._chain(form, order, *found) for w in self._s.wip if (found := self._found(form, order, w))]
        pressed = self._pressed(form)
        out.append(self._chain(form, order, order.qty, "green" if pressed is not None else "none", pressed))
        return out

    def glazed_from(self, order: Order) -> list[tuple[int, int]]:
        """Pieces the order could have, by source, and the minute from which they may be packed glazed."""
        form = self._s.form[order.form]
        found = [f for w in self._s.wip if (f := self._found(form, order, w))]
        pressed = self._pressed(form)
        if pressed is not None:
            found.append((order.qty, "green", pressed))
        ready = [(count, self._glazed(form, order, stage, at)) for count, stage, at in found if at is not None]
        return [(count, at) for count, at in ready if at is not None]

    def _glazed(self, form: Form, order: Order, stage: str, at: int | None) -> int | None:
        """Earliest minute from which pieces at ``stage`` from ``at`` on may be packed glazed; None: never."""
        if stage == "green" and at is not None:
            at = self._fired(form, "bisque", at, None)
        if stage in ("green", "bisqued") and at is not None:
            end = self.attended("glaze", at, self._s.glaze[order.glaze].fixed + form.glaze.minutes(1))
            at = None if end is None else end + form.glaze_dry
        return None if stage == "fired" else at

    def _found(self, form: Form, order: Order, w: Wip) -> tuple[int, str, int | None] | None:
        """Pieces of ``w`` the order could have: how many, at which stage, from when."""
        if w.form != form.id:
            return None
        if isinstance(w, Fired | Glazed):
            return (w.count, w.stage, w.at) if w.order == order.id else None
        if isinstance(w, InKiln):
            if w.fired_stage == "glost" and w.order != order.id:
                return None
            out = self.attended("unload", w.opens, self._s.kiln[w.kiln].unload)
            before = ("green", "bisqued") if w.fired_stage == "bisque" else ("glazed", "fired")
            return (w.count, before[0], None) if out is None else (w.count, before[1], out)
        if isinstance(w, Bisqued):
            return w.count, "bisqued", w.at
        return w.count, "green", self._dry_at(form, w)

    def _dry_at(self, form: Form, w: Wip) -> int | None:
        if isinstance(w, Drying):
            return w.dry_at
        if isinstance(w, Released):
            return self._leather(form, form.steps[w.steps_done :], w.released.b)
        assert isinstance(w, InMould)
        window = form.release_after_covered if w.covered and form.release_after_covered else form.release_after
        out = self.attended("release", w.pressed.b + window.lo, form.release.minutes(1))
        return None if out is None else self._leather(form, form.steps, out)

    def _leather(self, form: Form, steps: tuple[Step, ...], released: int) -> int | None:
        """Earliest minute bone-dry after the steps, each as soon as any cover allows."""
        at: int | None = released
        for step in steps:
            lo = min(w.lo for w in (step.after, step.after_covered) if w is not None)
            at = None if at is None else self.attended(step.kind, max(at, released + lo), step.work.minutes(1))
        return None if at is None else at + form.dry

    def _pressed(self, form: Form) -> int | None:
        """Earliest minute bone-dry of a piece pressed by the plan; None if there is no mould for it."""
        moulds = [m.ready or 0 for m in self._s.moulds if m.form == form.id]
        if not moulds and not any(c.form == form.id for c in self._s.casts):
            return None
        end = self.attended("press", min(moulds, default=0), form.press.minutes(1))
        lo = min(w.lo for w in (form.release_after, form.release_after_covered) if w is not None)
        out = None if end is None else self.attended("release", end + lo, form.release.minutes(1))
        return None if out is None else self._leather(form, form.steps, out)

    def _chain(self, form: Form, order: Order, count: int, stage: str, at: int | None) -> _Chain:
        """Follow pieces at ``stage`` from minute ``at`` to the box."""
        glaze = self._s.glaze[order.glaze]
        if at is not None and stage == "green":
            at = self._fired(form, "bisque", at, None)
            stage = "green" if at is None else "bisqued"
        if at is not None and stage == "bisqued":
            end = self.attended("glaze", at, glaze.fixed + form.glaze.minutes(1))
            stage, at = ("bisqued", None) if end is None else ("glazed", end + form.glaze_dry)
        if at is not None and stage == "glazed":
            at = self._fired(form, "glost", at, glaze.programs)
            stage = "glazed" if at is None else "fired"
        done = None if at is None or stage != "fired" else self.attended("finish", at, form.finish.minutes(1))
        return _Chain(count, done, stage)

    def _fired(self, form: Form, stage: str, at: int, programs: tuple[str, ...] | None) -> int | None:
        """Earliest minute out of a kiln of ware that may be loaded from ``at``; None if not inside the horizon."""
        outs = []
        for kiln in self._s.kilns:
            if kiln.id not in form.shelving(stage).per_shelf:
                continue
            loaded = self.attended("load", max(at, kiln.free_at or 0), kiln.load)
            lit = None if loaded is None else _from(kiln, loaded)
            for p in kiln.programs:
                if lit is not None and p.stage == stage and (programs is None or p.id in programs):
                    outs.append(self.attended("unload", lit + p.fire + p.cool, kiln.unload))
        return min((out for out in outs if out is not None), default=None)

    def _attended(self, kind: str, at: int, minutes: int) -> int | None:
        """Earliest end of a task begun at ``at`` or later while somebody who can do it is there; None: never."""
        ends = []
        for p in self._s.people:
            if p.can(kind):
                ends += [s + minutes for a, b in self._duty[p.id] if (s := max(a, at, 0)) + minutes <= b]
        return min((e for e in ends if e <= self._s.horizon), default=None)


def _from(kiln: Kiln, at: int) -> int | None:
    """The first minute from ``at`` on at which a program may be started."""
    if kiln.start_spans is None:
        return at
    return min((max(a, at) for a, b in kiln.start_spans if max(a, at) < b), default=None)


def _joined(spans: list[Span]) -> list[Span]:
    out: list[Span] = []
    for a, b in sorted(spans):
        if out and a <= out[-1].b:
            out[-1] = Span(out[-1].a, max(b, out[-1].b))
        else:
            out.append(Span(a, b))
    return out
