"""Kilns in a sub-model: loads, programs and what fits (R07, R08). What goes in comes from :mod:`.flows`."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from math import lcm

from planner.model.attended import spans_domain
from planner.model.polish.context import At, Literal, Number, Sub
from planner.plan import Firing
from planner.scenario import InKiln, Kiln, Span


@dataclass
class FiringVar:
    """A firing of the plan, the load now in a kiln (``now``) or a slot for a new one.

    ``open``: its pieces may change. ``pieces``: (form, order or None, count) of what goes in.
    """

    id: str
    kiln: Kiln
    stage: str
    load_id: str | None
    unload_id: str
    load: At | None
    unload: At
    fire: Number
    programs: dict[str, Literal]
    here: Literal
    free: bool
    open: bool
    now: bool
    pieces: list[tuple[str, str | None, Number]] = field(default_factory=list)

    def holds(self, form: str, order: str | None = None) -> Number:
        """Pieces of ``form`` (and of ``order`` if given) in it."""
        return sum(n for f, o, n in self.pieces if f == form and (order is None or o == order))


def add_firings(sub: Sub) -> dict[str, FiringVar]:
    out: dict[str, FiringVar] = {}
    for firing in sub.plan.firings:
        kiln = sub.s.kiln[firing.kiln]
        if firing.load is None:
            out[firing.id] = _present_load(sub, firing, kiln)
        elif firing.id in sub.freed.firings:
            program = kiln.program(firing.program or "")
            assert program is not None
            out[firing.id] = _free(sub, firing, kiln, program.stage, firing.id)
        else:
            out[firing.id] = _fixed(sub, firing, kiln)
    for kiln_id, stage in sub.freed.new_firings:
        name = sub.fresh("f")
        out[name] = _free(sub, None, sub.s.kiln[kiln_id], stage, name)
    for kiln in sub.s.kilns:
        _one_load_at_a_time(sub, kiln, [f for f in out.values() if f.kiln.id == kiln.id])
    return out


def _present_load(sub: Sub, firing: Firing, kiln: Kiln) -> FiringVar:
    wip = [w for w in sub.s.wip if isinstance(w, InKiln) and w.kiln == kiln.id]
    free = firing.id in sub.freed.firings
    if free:
        window = (max(w.opens for w in wip), sub.hi)
        unload = sub.free(firing.unload, "unload", kiln.unload, kiln.unload, window=window)
    else:
        unload = sub.fixed(firing.unload)
    stage = wip[0].fired_stage
    out = FiringVar(firing.id, kiln, stage, None, firing.unload, None, unload, 0, {}, sub.yes, free, False, True)
    out.pieces = [(w.form, w.order, w.count) for w in wip]
    return out


def _fixed(sub: Sub, firing: Firing, kiln: Kiln) -> FiringVar:
    program = kiln.program(firing.program or "")
    assert firing.load is not None and firing.fire is not None and program is not None
    sub.costs.append(sub.s.weights.kwh * program.kwh)
    return FiringVar(
        firing.id, kiln, program.stage, firing.load, firing.unload, sub.fixed(firing.load), sub.fixed(firing.unload),
        firing.fire, {program.id: sub.yes}, sub.yes, False, False, False,
    )  # fmt: skip


def _free(sub: Sub, firing: Firing | None, kiln: Kiln, stage: str, name: str) -> FiringVar:
    m, contents = sub.m, sub.freed.contents
    here: Literal = sub.flag(f"{name}.here", firing is not None) if contents else sub.yes
    load_id = firing.load if firing and firing.load else sub.fresh("t")
    unload_id = firing.unload if firing else sub.fresh("t")
    earliest = (max(sub.lo, kiln.free_at or 0), sub.hi)
    load = sub.free(load_id, "load", kiln.load, kiln.load, present=here, window=earliest)
    unload = sub.free(unload_id, "unload", kiln.unload, kiln.unload, present=here)
    programs: dict[str, Literal] = {}
    options = [p for p in kiln.programs if p.stage == stage]
    for p in options:
        one = len(options) == 1
        programs[p.id] = here if one else sub.flag(f"{name}.{p.id}", bool(firing and firing.program == p.id))
    if len(options) != 1:
        m.add(sum(programs.values()) == here)
    fire = sub.whole(sub.lo, sub.hi, f"{name}.fire", firing.fire if firing else None)
    m.add(fire >= load.end).only_enforce_if(here)
    if kiln.start_spans is not None:
        m.add_linear_expression_in_domain(fire, spans_domain(kiln.start_spans)).only_enforce_if(here)
    for p in options:
        m.add(unload.start >= fire + p.fire + p.cool).only_enforce_if(programs[p.id])
        sub.costs.append(sub.s.weights.kwh * p.kwh * programs[p.id])
    return FiringVar(
        name, kiln, stage, load_id, unload_id, load, unload, fire, programs, here, True, contents, False
    )


def _one_load_at_a_time(sub: Sub, kiln: Kiln, firings: list[FiringVar]) -> None:
    """A kiln holds one load, none while it is closed; the load that is in it now comes out first."""
    if not any(f.free for f in firings):
        return
    m, intervals = sub.m, []
    for f in firings:
        if f.now:
            for later in firings:
                if later.load is not None and (later.free or f.free):
                    m.add(later.load.start >= f.unload.end).only_enforce_if(later.here)
            continue
        assert f.load is not None
        size: Number = sub.m.new_int_var(0, sub.end, "") if f.free else f.unload.end - f.load.start
        intervals.append(m.new_optional_interval_var(f.load.start, size, f.unload.end, f.here, f"{kiln.id}:{f.id}"))
    for a, b in _closed(kiln):
        intervals.append(m.new_fixed_size_interval_var(a, b - a, ""))
    m.add_no_overlap(intervals)
    left_in = kiln.free_at is None and not any(f.now for f in firings)
    for f in firings if left_in else ():
        if f.here is not sub.yes:
            m.add(f.here == 0)


def _closed(kiln: Kiln) -> list[Span]:
    out: list[Span] = []
    for a, b in sorted(kiln.closed):
        if out and a < out[-1].b:
            out[-1] = Span(out[-1].a, max(b, out[-1].b))
        else:
            out.append(Span(a, b))
    return out


def add_fits(sub: Sub, firings: Iterable[FiringVar]) -> None:
    """R08 for every firing whose pieces may change. Call it when all flows are in."""
    for f in firings:
        if f.open:
            _fits(sub, f)


def _fits(sub: Sub, f: FiringVar) -> None:
    """Shelf levels from the tallest ware down: S_k = ceil(P_k), the stack at most ``stack_mm``.

    Σ (S_k − S_{k−1}) h_k = Σ S_k (h_k − h_{k+1}) with h falling, so a larger S_k only costs: S_k ≥ P_k is enough.
    """
    m = sub.m
    by_form: dict[str, list[Number]] = defaultdict(list)
    for form, _, n in f.pieces:
        by_form[form].append(n)
    if not by_form:
        m.add(f.here == 0)
        return
    m.add(sum(n for ns in by_form.values() for n in ns) >= 1).only_enforce_if(f.here)
    shelving = {form: sub.s.form[form].shelving(f.stage) for form in by_form}
    per = {form: shelving[form].per_shelf[f.kiln.id] for form in by_form}
    whole = lcm(*per.values())
    heights = sorted({s.clearance_mm for s in shelving.values()}, reverse=True)
    levels = []
    for height in heights:
        level = m.new_int_var(0, f.kiln.shelves, f"{f.id}.{height}")
        tall = [(whole // per[x], n) for x in by_form if shelving[x].clearance_mm >= height for n in by_form[x]]
        m.add(whole * level >= sum(k * n for k, n in tall))
        levels.append(level)
    tops = [h + f.kiln.shelf_mm for h in heights]
    drops = [a - b for a, b in zip(tops, [*tops[1:], 0], strict=True)]
    m.add(sum(d * s for d, s in zip(drops, levels, strict=True)) <= f.kiln.stack_mm)
    for limit in f.kiln.limits:
        if limit.stage == f.stage and all(x in by_form for x in limit.counts):
            below = []
            for form, n in limit.counts.items():
                lit = m.new_bool_var("")
                m.add(sum(by_form[form]) <= n - 1).only_enforce_if(lit)
                below.append(lit)
            m.add_bool_or(below)
