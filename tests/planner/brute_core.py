"""Jobs, a load in the kiln, batches in a mould and leather-hard, moulds to pour and lift: what must be done anyway."""

from __future__ import annotations

import random
from itertools import product

from planner.scenario import Form, Scenario
from planner.ware import InMould
from tests.planner import builders as b
from tests.planner.brute import Done, Need, cheapest, extra_cost
from tests.planner.brute_parts import Problem, at, of_job, taking, there


def core(seed: int) -> Problem:
    """Jobs, a load in the kiln, batches in a mould and leather-hard, casts: all that can make a scenario impossible."""
    r = random.Random(f"core {seed}")
    horizon = r.randint(9, 14)
    people = [there(r, horizon, 0.7, id="ansa")]
    if r.random() < 0.3:
        people.append(
            there(r, horizon, 0.2, id="bryn", skills=r.sample(["job", "release", "unload", "lift", "trim"], 2))
        )
    wip, moulds = [], []
    f = b.form(
        release=b.Work(r.randint(0, 1), 60), release_after=(r.randint(0, 3), 9),
        steps=[b.step(work=b.Work(r.randint(1, 3), 0), after=(r.randint(0, 2), 6), after_covered=None)],
    )  # fmt: skip
    if r.random() < 0.6:
        moulds = [b.mould(ready=None)]
        wip.append(b.in_mould(pressed=(-3, -1), first=-2, until=r.choice([None, 4, 7])))
    if r.random() < 0.4:
        wip.append(b.released(released=(-2, -1), until=r.choice([None, 6])))
    kiln = b.kiln(unload=r.randint(1, 3))
    if r.random() < 0.5:
        kiln = b.kiln(unload=r.randint(1, 3), free_at=None)
        wip.append(b.in_kiln(opens=r.randint(0, horizon)))
    jobs = [_job(r, i, horizon) for i in range(r.randint(0, 2))]
    stations = [b.station(), b.station("bench", kinds=["trim", "lift"], closed=[(3, 4)], free_at=r.choice([0, 2]))]
    s = b.scenario(
        horizon=horizon, people=people, stations=stations, forms=[f], moulds=moulds, kilns=[kiln], wip=wip, jobs=jobs,
        casts=_casts(r), weights=b.weights(spoil=5, extra=1),
    )  # fmt: skip
    return s, _core_best(s)


def _job(r: random.Random, i: int, horizon: int) -> b.Job:
    lo = r.randint(0, horizon - 3)
    person, station = r.choice([None, "ansa"]), r.choice([None, None, "bench"])
    return b.job(f"j{i}", minutes=r.randint(1, 4), window=(lo, lo + r.randint(3, 8)), person=person, station=station)


def _casts(r: random.Random) -> list[b.Cast]:
    kind = r.random()
    hold, lift_after = {"holds": ["model"], "pour": 2, "lift": 1}, (1, 3)
    poured = b.cast("c1", poured=r.choice([-2, 0, 1]), lift_after=(1, 4), **hold)
    required = b.cast("c2", required=True, cost=2, lift_after=lift_after, **hold)
    return [] if kind < 0.4 else [poured] if kind < 0.6 else [required] if kind < 0.8 else [poured, required]


def _core_best(s: Scenario) -> int | None:
    """The least over all ways of giving up what may be given up."""
    may = [w.id for w in s.wip if w.stage in ("in_mould", "released")] + [c.id for c in s.casts if c.poured is not None]
    costs = [
        _core_cost(s, {x for x, given in zip(may, up, strict=True) if given}) for up in product((0, 1), repeat=len(may))
    ]
    return min((c for c in costs if c is not None), default=None)


def _core_cost(s: Scenario, spoiled: set[str]) -> int | None:
    needs: list[Need] = [of_job(j) for j in s.jobs]
    for w in s.wip:
        if w.stage == "firing" and w.opens + s.kiln[w.kiln].unload <= s.horizon:
            needs.append(Need("now", "unload", taking(s.kiln[w.kiln].unload), at(w.opens)))
        if w.stage == "in_mould":
            needs += _of_in_mould(s.form[w.form], w, w.id in spoiled)
        if w.stage == "released" and w.id not in spoiled:
            step, latest = s.form[w.form].steps[0], w.until
            earliest = at(w.released.b + step.after.lo)
            end = at(w.released.a + step.after.hi if latest is None else latest)
            needs.append(Need(w.id, step.kind, taking(step.work.minutes(1)), earliest, end))
    for c in s.casts:
        if c.id not in spoiled:
            needs += _of_cast(s, c, spoiled)
    fixed = 5 * len(spoiled) + sum(c.cost for c in s.casts if c.poured is None)
    return cheapest(s, needs, lambda done: fixed + extra_cost(s, done))


def _of_in_mould(f: Form, w: InMould, spoiled: bool) -> list[Need]:
    step = f.steps[0]
    latest = w.first + f.release_after.hi if w.until is None else w.until
    lo = w.pressed.b + f.release_after.lo
    out = Need("out", "release", taking(f.release.minutes(1)), at(lo), at(10**9 if spoiled else latest))
    after = Need(
        "out step", step.kind, taking(step.work.minutes(1)),
        lambda done: done["out"].end + step.after.lo, lambda done: done["out"].start + step.after.hi,
    )  # fmt: skip
    return [out] if spoiled else [out, after]


def _of_cast(s: Scenario, c: b.Cast, spoiled: set[str]) -> list[Need]:
    """All casts here hold the same model, so that one has to be lifted before the next is poured."""
    before = [x.id for x in s.casts if x.id < c.id and x.id not in spoiled]

    def free(done: Done) -> int:
        return max((done[f"{x} lift"].end for x in before), default=0)

    def poured(done: Done) -> int:
        return done[f"{c.id} pour"].end if c.poured is None else c.poured

    lift = Need(
        f"{c.id} lift", "lift", taking(c.lift), lambda done: poured(done) + c.lift_after.lo,
        lambda done: poured(done) + c.lift_after.hi + c.lift,
    )  # fmt: skip
    return [lift] if c.poured is not None else [Need(f"{c.id} pour", "pour", taking(c.pour), free), lift]
