"""Very small studios by seed, each with its optimum by brute force: a few minutes long, a task of each kind."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import product
from typing import Any

from planner.scenario import Form, Scenario
from tests.planner import builders as b
from tests.planner.brute import Done, Need, cheapest, extra_cost, firing, fits, late_cost
from tests.planner.brute_core import core
from tests.planner.brute_kilns import KILN_FAMILIES
from tests.planner.brute_parts import Problem, at, of_job, taking, there
from tests.planner.brute_pressing import PRESSING_FAMILIES

# ---- pieces waiting to be finished, beside a job that has to be done


def finishing(seed: int) -> Problem:
    r = random.Random(f"finishing {seed}")
    horizon, pieces = r.randint(9, 14), range(r.randint(2, 3))
    people = [there(r, horizon, 0.4, id="ansa")]
    if r.random() < 0.4:
        people.append(there(r, horizon, 0.4, id="bryn", skills=["finish"]))
    s = b.scenario(
        horizon=horizon,
        people=people,
        stations=[b.station(), b.station("table", kinds=["finish"], free_at=r.choice([0, 2]))],
        forms=[b.form(f"f{i}", finish=b.Work(r.randint(1, 4), 0)) for i in pieces],
        orders=[b.order(f"o{i}", form=f"f{i}", due=r.randint(1, horizon), weight=r.randint(1, 3)) for i in pieces],
        wip=[b.fired(f"w{i}", form=f"f{i}", order=f"o{i}", at=r.choice([0, 0, 3])) for i in pieces],
        jobs=[b.job(minutes=2, window=(0, horizon), person=r.choice([None, "ansa"]))] if r.random() < 0.5 else [],
        to_finish=b.to_finish(9, 8, 7, 6, 5),
        weights=b.weights(late=2, late_step=r.choice([1, 3]), tardy=4, extra=1),
    )
    needs = [of_job(j) for j in s.jobs]
    for w in s.wip:
        needs.append(
            Need(w.id, "finish", taking(s.form[w.form].finish.minutes(1)), at(w.at), chain=w.id, may_stop=True)  # type: ignore[union-attr]
        )

    def cost(done: Done) -> int:
        ends = {w.order: done[w.id].end if w.id in done else horizon + 5 for w in s.wip}  # type: ignore[union-attr]
        return extra_cost(s, done) + sum(late_cost(s, o, [end]) for o, end in ends.items() if o)

    return s, cheapest(s, needs, cost)


# ---- one piece from the ball to the box


def chain(seed: int) -> Problem:
    """One mould, one order for one piece, everything of a minute or two: presses it or not, and how far it gets."""
    r = random.Random(f"chain {seed}")
    horizon = r.randint(15, 19)
    covered = (r.randint(1, 4), 9) if r.random() < 0.6 else None
    step = b.step(work=b.Work(1, 0), after=(0, r.randint(2, 5)), after_covered=r.choice([None, (0, 9)]))
    f = b.form(
        setup=r.randint(0, 2), recheck=r.randint(0, 1), press=b.Work(0, r.choice([30, 60])), release=b.Work(0, 60),
        release_after=(r.randint(0, 2), r.randint(3, 6)), release_after_covered=covered, mould_rest=3,
        steps=[step] if r.random() < 0.6 else [], dry=r.randint(0, 1), glaze_dry=r.randint(0, 1),
    )  # fmt: skip
    programs = [b.program(p, fire=1, cool=r.randint(0, 1), kwh=r.randint(0, 3)) for p in ("bisque", "glost")]
    starts = [(3, 7), (9, horizon)] if r.random() < 0.4 else None
    closed = [(horizon - 2, horizon)] if r.random() < 0.2 else ()
    s = b.scenario(
        horizon=horizon,
        people=[there(r, horizon, 0.8)],
        stations=[
            b.station(mounted=r.choice([None, f.tool, "other"]), free_at=r.choice([0, 1])),
            b.station("wheel", kinds=["trim"]),
        ],
        racks=b.Racks(r.choice([0, 5]), r.choice([0, 5, 5, 5]), 5),
        forms=[f],
        moulds=[b.mould(ready=r.choice([0, 2]), uses_left=1)],
        kilns=[
            b.kiln(load=1, unload=1, start_spans=starts, closed=closed, programs=programs, free_at=r.choice([0, 8]))
        ],
        orders=[b.order(due=r.randint(8, horizon + 9))],
        to_finish=b.to_finish(16, 12, 8, 6, 3),
        weights=b.weights(late=2, late_step=r.choice([1, 4]), tardy=5, kwh=1, setup=2, cover=1, extra=1),
    )  # fmt: skip
    return s, min(x for x in (_chain_cost(s, *c) for c in _covers(f)) if x is not None)


def _covers(f: Form) -> Iterator[tuple[bool, bool]]:
    in_mould = [False, True] if f.release_after_covered else [False]
    wrapped = [False, True] if f.steps and f.steps[0].after_covered else [False]
    yield from product(in_mould, wrapped)


START: dict[str, Any] = {"chain": "x", "may_stop": True}  # the one chain there is may end before this need


def _chain_cost(s: Scenario, in_mould: bool, wrapped: bool) -> int | None:
    f, kiln = s.forms[0], s.kilns[0]
    full = s.stations[0].mounted != f.tool
    prepare = f.setup if full else f.recheck
    wait = f.release_after_covered if in_mould else f.release_after
    assert wait is not None
    first = prepare + -(-f.press.each_s // 60)
    needs = [
        Need("press", "press", taking(prepare + f.press.minutes(1)), at(s.moulds[0].ready or 0), **START),
        Need("out", "release", taking(f.release.minutes(1)), lambda done: done["press"].end + wait.lo,
             lambda done: done["press"].start + first + wait.hi, chain="x"),
    ]  # fmt: skip
    for step in f.steps:
        after = step.after_covered if wrapped else step.after
        assert after is not None
        needs.append(_of_step(step.kind, step.work.minutes(1), after))
    last = needs[-1].key
    bisque = firing(kiln, "bisque", "b", lambda done: done[last].end + f.dry, None, **START)
    glost = firing(kiln, "glost", "g", lambda done: done["glaze"].end + f.glaze_dry, "b", **START)
    glaze = Need(
        "glaze", "glaze", taking(s.glazes[0].fixed + f.glaze.minutes(1)), lambda done: done["bunload"].end, **START
    )
    finish = Need("finish", "finish", taking(f.finish.minutes(1)), lambda done: done["gunload"].end, **START)
    needs += [*bisque, glaze, *glost, finish]
    return cheapest(s, needs, lambda done: _chain_reckoned(s, done, last, in_mould, wrapped, full))


def _of_step(kind: str, minutes: int, after: b.Window) -> Need:
    def earliest(done: Done) -> int:
        return done["out"].end + after.lo

    return Need("step", kind, taking(minutes), earliest, lambda done: done["out"].start + after.hi, chain="x")


NO_PLAN = 10**9


def _chain_reckoned(s: Scenario, done: Done, last: str, in_mould: bool, wrapped: bool, full: bool) -> int:
    if "press" in done and not _boards_fit(s, done, last, wrapped):
        return NO_PLAN
    reached = [("gunload", "fired"), ("glaze", "glazed"), ("bunload", "bisqued"), ("press", "green")]
    stage = next((name for key, name in reached if key in done), "none")
    end = done["finish"].end if "finish" in done else s.horizon + getattr(s.to_finish, stage)
    kwh = sum(p.kwh for p, key in zip(s.kilns[0].programs, ("bload", "gload"), strict=True) if key in done)
    pressed = s.weights.setup * full + s.weights.cover * (in_mould + wrapped) if "press" in done else 0
    return late_cost(s, "o1", [end]) + s.weights.kwh * kwh + pressed + extra_cost(s, done)


def _boards_fit(s: Scenario, done: Done, last: str, wrapped: bool) -> bool:
    """R05 for one board: a stay of any length on a rack of none is one too many."""
    leaves = done["bload"].start if "bload" in done else s.horizon
    wet = done["out"].start, done[last].end
    damp = wet if wrapped else (0, 0)
    drying = (wet[1], leaves) if wrapped else (wet[0], leaves)
    return not (s.racks.damp == 0 and damp[0] < damp[1]) and not (s.racks.drying == 0 and drying[0] < drying[1])


# ---- glazed pieces that may share a firing


def sharing(seed: int) -> Problem:
    r = random.Random(f"sharing {seed}")
    horizon, pieces = r.randint(10, 14), range(r.randint(2, 3))
    limits = [b.limit("glost", f0=1, f1=1)] if r.random() < 0.3 else []
    dear = b.program("glost", fire=1, cool=r.randint(0, 2), kwh=r.randint(1, 4))
    starts = r.choice([None, [(2, 3), (5, 9)]])
    size = {"stack_mm": r.choice([200, 300]), "shelf_mm": 20, "shelves": r.choice([1, 2, 3])}
    kiln = b.kiln(**size, load=1, unload=1, limits=limits, programs=[dear], start_spans=starts)
    s = b.scenario(
        horizon=horizon,
        people=[there(r, horizon, 0.8)],
        forms=[b.form(f"f{i}", glost=b.shelving(r.choice([80, 100, 150]), a=r.choice([1, 2]))) for i in pieces],
        kilns=[kiln],
        orders=[b.order(f"o{i}", form=f"f{i}", due=r.randint(3, horizon + 4)) for i in pieces],
        wip=[b.glazed(f"w{i}", form=f"f{i}", order=f"o{i}", at=r.choice([0, 0, 2])) for i in pieces],
        to_finish=b.to_finish(9, 8, 7, 6, 3),
        weights=b.weights(late=1, late_step=1, tardy=3, kwh=1, extra=1),
    )
    costs = [_shared_cost(s, loads) for loads in product(range(len(pieces) + 1), repeat=len(pieces))]
    return s, min(c for c in costs if c is not None)


def _shared_cost(s: Scenario, load_of: tuple[int, ...]) -> int | None:
    """The least cost if piece i goes into firing ``load_of[i]``, counted from 1 in order of time; 0: none."""
    kiln, loads = s.kilns[0], sorted({x for x in load_of if x})
    if loads != list(range(1, len(loads) + 1)):
        return None  # the same as with other numbers
    needs: list[Need] = []
    for x in loads:
        own = [w for w, y in zip(s.wip, load_of, strict=True) if y == x]
        if not fits(kiln, "glost", [(s.form[w.form], 1) for w in own]):
            return None
        ready = max(w.at for w in own)  # type: ignore[union-attr]
        needs += firing(kiln, "glost", f"f{x}", at(ready), f"f{x - 1}" if x > 1 else None)
    for w, x in zip(s.wip, load_of, strict=True):
        if x:
            out = f"f{x}unload"
            minutes = taking(s.form[w.form].finish.minutes(1))
            needs.append(Need(w.id, "finish", minutes, lambda done, out=out: done[out].end, chain=w.id, may_stop=True))

    def cost(done: Done) -> int:
        total = len(loads) * kiln.programs[0].kwh + extra_cost(s, done)
        for w, x in zip(s.wip, load_of, strict=True):
            left = s.horizon + (s.to_finish.fired if x else s.to_finish.glazed)
            total += late_cost(s, w.order, [done[w.id].end if w.id in done else left])  # type: ignore[union-attr]
        return total

    return cheapest(s, needs, cost)


FAMILIES = {"core": core, "finishing": finishing, "chain": chain, "sharing": sharing}
FAMILIES |= PRESSING_FAMILIES | KILN_FAMILIES
