"""The rules of the format that tie one thing of a scenario to another: ids, name spaces, moulds and kilns in use."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

from planner.faults import Fault, escape, meant, quoted
from planner.ware import Fired, Glazed, InKiln, InMould, Released

if TYPE_CHECKING:
    from planner.scenario import Form, Scenario
    from planner.values import Span

INSTANT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(Z|[+-]\d\d:\d\d)", re.ASCII)


def instant_faults(value: Any, pointer: str) -> Iterator[Fault]:
    right = "an ISO 8601 instant to the minute with its offset, such as 2026-11-30T07:00+00:00"
    if not isinstance(value, str) or not INSTANT.fullmatch(value):
        yield Fault(pointer, f"{quoted(str(value))} is no such instant", right)
        return
    try:
        datetime.fromisoformat(value)
    except ValueError:
        yield Fault(pointer, f"{quoted(value)} is no day and time that there is", right)


def overlap_faults(hours: Sequence[Span], extra: Sequence[Span]) -> Iterator[Fault]:
    """``extra`` must be disjoint from ``hours`` (both sorted)."""
    i = 0
    for j, span in enumerate(extra):
        while i < len(hours) and hours[i].b <= span.a:
            i += 1
        if i < len(hours) and hours[i].a < span.b:
            wrong = f"the span {list(span)} overlaps {list(hours[i])} of the hours"
            yield Fault(f"/extra/{j}", wrong, "cut it down to minutes that are not in the hours")


def twice_faults(ids: Iterable[tuple[str, str]], where: str = "this list") -> Iterator[Fault]:
    """``ids`` are (pointer, id); each id may stand there once."""
    first: dict[str, str] = {}
    for pointer, id_ in ids:
        if id_ in first:
            wrong = f"the id {quoted(id_)} stands at {first[id_]} already"
            yield Fault(f"{pointer}/id", wrong, f"an id of its own in {where}")
        else:
            first[id_] = pointer


def cross_faults(s: Scenario) -> Iterator[Fault]:
    """Faults of a scenario whose parts are all sound by themselves. Later rules rely on the ids of earlier ones."""
    for rules in ((_unique,), (_known_ids,), (_tools, _presses, _moulds, _kilns, _wip, _pins)):
        found = [f for rule in rules for f in rule(s)]
        yield from found
        if found:
            return


def _unique(s: Scenario) -> Iterator[Fault]:
    for key in ("people", "stations", "forms", "glazes", "kilns", "jobs", "orders", "wip"):
        yield from twice_faults((f"/{key}/{i}", x.id) for i, x in enumerate(getattr(s, key)))
    both = [(f"/{key}/{i}", x.id) for key in ("moulds", "casts") for i, x in enumerate(getattr(s, key))]
    yield from twice_faults(both, "moulds and casts together")


def _missing(kind: str, id_: str, known: Iterable[str], pointer: str) -> Iterator[Fault]:
    if id_ not in known:
        yield Fault(pointer, f"there is no {kind} {quoted(id_)}", meant(id_, known))


def _known_ids(s: Scenario) -> Iterator[Fault]:
    for key in ("moulds", "casts", "orders", "wip"):
        for i, x in enumerate(getattr(s, key)):
            yield from _missing("form", x.form, s.form, f"/{key}/{i}/form")
    yield from _known_in_forms(s)
    yield from _known_in_kilns(s)
    for i, o in enumerate(s.orders):
        yield from _missing("glaze", o.glaze, s.glaze, f"/orders/{i}/glaze")
    for i, j in enumerate(s.jobs):
        if j.person is not None:
            yield from _missing("person", j.person, s.person, f"/jobs/{i}/person")
        if j.station is not None:
            yield from _missing("station", j.station, s.station, f"/jobs/{i}/station")
    yield from _known_in_wip(s)


def _known_in_forms(s: Scenario) -> Iterator[Fault]:
    for i, f in enumerate(s.forms):
        for stage in ("bisque", "glost"):
            for kiln in f.shelving(stage).per_shelf:
                yield from _missing("kiln", kiln, s.kiln, f"/forms/{i}/{stage}/per_shelf/{escape(kiln)}")


def _known_in_kilns(s: Scenario) -> Iterator[Fault]:
    for i, k in enumerate(s.kilns):
        for j, limit in enumerate(k.limits):
            for form in limit.counts:
                yield from _missing("form", form, s.form, f"/kilns/{i}/limits/{j}/counts/{escape(form)}")
    glost = {p.id for k in s.kilns for p in k.programs if p.stage == "glost"}
    for i, g in enumerate(s.glazes):
        for j, p in enumerate(g.programs):
            yield from _missing("glost program", p, glost, f"/glazes/{i}/programs/{j}")


def _known_in_wip(s: Scenario) -> Iterator[Fault]:
    for i, w in enumerate(s.wip):
        if isinstance(w, (Glazed, Fired, InKiln)) and w.order is not None:
            yield from _missing("order", w.order, s.order, f"/wip/{i}/order")
        if isinstance(w, Glazed):
            yield from _missing("glaze", w.glaze, s.glaze, f"/wip/{i}/glaze")
        if isinstance(w, InKiln):
            yield from _missing("kiln", w.kiln, s.kiln, f"/wip/{i}/kiln")
        if isinstance(w, InMould):
            for j, m in enumerate(w.moulds):
                yield from _missing("mould", m, s.mould, f"/wip/{i}/moulds/{j}")


def _tools(s: Scenario) -> Iterator[Fault]:
    first: dict[str, Form] = {}
    for i, f in enumerate(s.forms):
        other = first.setdefault(f.tool, f)
        for key in ("setup", "recheck"):
            mine, theirs = getattr(f, key), getattr(other, key)
            if mine != theirs:
                wrong = f"{mine} min, but form {quoted(other.id)} with the same tool says {theirs}"
                yield Fault(f"/forms/{i}/{key}", wrong, "one figure for all forms with one tool")


def _presses(s: Scenario) -> Iterator[Fault]:
    if s.forms and "press" not in s.served_kinds:
        yield Fault("/stations", "there are forms but no station serves press", 'add "press" to the kinds of one')


def _moulds(s: Scenario) -> Iterator[Fault]:
    filled: dict[str, str] = {}
    for i, w in enumerate(s.wip):
        for j, m in enumerate(w.moulds if isinstance(w, InMould) else ()):
            pointer = f"/wip/{i}/moulds/{j}"
            if m in filled:
                wrong = f"mould {quoted(m)} holds the batch {quoted(filled[m])} already"
                yield Fault(pointer, wrong, "a mould holds one piece at a time")
            filled.setdefault(m, w.id)
            if s.mould[m].form != w.form:
                wrong = f"mould {quoted(m)} is of the form {quoted(s.mould[m].form)}"
                yield Fault(pointer, wrong, f"a mould of the form {quoted(w.form)}")
    for i, mould in enumerate(s.moulds):
        if mould.ready is None and mould.id not in filled:
            wrong = "null, but no batch is in this mould"
            yield Fault(f"/moulds/{i}/ready", wrong, "the first minute it is dry enough")
        if mould.ready is not None and mould.id in filled:
            wrong = f"{mould.ready}, but the batch {quoted(filled[mould.id])} is in this mould"
            yield Fault(f"/moulds/{i}/ready", wrong, "null while a batch is in it")


def _kilns(s: Scenario) -> Iterator[Fault]:
    stage: dict[str, str] = {}
    for i, w in enumerate(s.wip):
        if not isinstance(w, InKiln):
            continue
        if stage.setdefault(w.kiln, w.fired_stage) != w.fired_stage:
            wrong = f"{w.fired_stage} in the kiln that holds a {stage[w.kiln]} firing"
            yield Fault(f"/wip/{i}/fired_stage", wrong, "one stage for all ware in one kiln")
    for i, k in enumerate(s.kilns):
        if k.free_at is None and k.id not in stage:
            yield Fault(f"/kilns/{i}/free_at", "null, but no ware is in this kiln", "the minute it is free")
        if k.free_at is not None and k.id in stage:
            yield Fault(f"/kilns/{i}/free_at", f"{k.free_at}, but ware is in this kiln", "null while it holds a firing")


def _wip(s: Scenario) -> Iterator[Fault]:
    for i, w in enumerate(s.wip):
        form = s.form[w.form]
        if isinstance(w, InMould) and w.covered and form.release_after_covered is None:
            wrong = f"covered, but a filled mould of {quoted(form.id)} is never covered"
            yield Fault(f"/wip/{i}/covered", wrong, "false, or give the form release_after_covered")
        if isinstance(w, Released):
            yield from _released(w, form, f"/wip/{i}")
        order = getattr(w, "order", None)
        if order is not None and s.order[order].form != w.form:
            wrong = f"order {quoted(order)} is for the form {quoted(s.order[order].form)}"
            yield Fault(f"/wip/{i}/order", wrong, f"an order for {quoted(w.form)}, or null for stock")


def _released(w: Released, form: Form, pointer: str) -> Iterator[Fault]:
    if w.steps_done >= len(form.steps):
        wrong = f"{w.steps_done} steps done, but {quoted(form.id)} has {len(form.steps)}"
        yield Fault(f"{pointer}/steps_done", wrong, 'fewer than all; ware with no steps left has the stage "drying"')
    elif w.covered and any(step.after_covered is None for step in form.steps[w.steps_done :]):
        wrong = f"covered, but a step of {quoted(form.id)} that is left cannot wait covered"
        yield Fault(f"{pointer}/covered", wrong, "false, or give that step after_covered")


def _pins(s: Scenario) -> Iterator[Fault]:
    known = s.previous.task if s.previous else {}
    for i, p in enumerate(s.pins):
        if p not in known:
            wrong = f"the previous plan has no task {quoted(p)}" if s.previous else "a pin, but no previous plan"
            yield Fault(f"/pins/{i}", wrong, meant(p, known) if known else "remove it")
