"""Poured moulds and other jobs in a sub-model (R11, R13)."""

from __future__ import annotations

from dataclasses import dataclass

from planner.model.polish.context import At, Literal, Sub
from planner.scenario import Cast


@dataclass
class CastVar:
    """A cast of the plan, or one that could be poured. ``here``: it is in the plan."""

    id: str
    pour_id: str | None
    lift_id: str
    pour: At | None
    lift: At
    here: Literal
    free: bool


def add_casts(sub: Sub) -> dict[str, CastVar]:
    """Every cast that is in the plan or freed."""
    out: dict[str, CastVar] = {}
    known = {c.id: c for c in sub.plan.casts}
    for cast in sub.s.casts:
        if cast.id in sub.freed.casts:
            out[cast.id] = _free(sub, cast)
        elif cast.id in known:
            plan = known[cast.id]
            pour = None if plan.pour is None else sub.fixed(plan.pour)
            out[cast.id] = CastVar(cast.id, plan.pour, plan.lift, pour, sub.fixed(plan.lift), sub.yes, False)
        else:
            sub.costs.append(sub.s.weights.spoil * (cast.id in sub.plan.spoiled))
        if cast.id in known and cast.id not in sub.freed.casts and known[cast.id].pour is not None:
            sub.costs.append(cast.cost)
    _hold(sub, out)
    return out


def _free(sub: Sub, cast: Cast) -> CastVar:
    now = next((c for c in sub.plan.casts if c.id == cast.id), None)
    must = cast.required and cast.poured is None
    here: Literal = sub.yes if must else sub.flag(f"{cast.id}.here", now is not None)
    lift_id = now.lift if now else sub.fresh("t")
    if cast.poured is not None:
        first, last = cast.poured + cast.lift_after.lo, cast.poured + cast.lift_after.hi
        lift = sub.free(lift_id, "lift", cast.lift, cast.lift, present=here, window=(first, last + cast.lift))
        sub.costs.append(sub.s.weights.spoil * (1 - here))
        return CastVar(cast.id, None, lift_id, None, lift, here, True)
    pour_id = now.pour if now and now.pour else sub.fresh("t")
    pour = sub.free(pour_id, "pour", cast.pour, cast.pour, present=here)
    lift = sub.free(lift_id, "lift", cast.lift, cast.lift, present=here)
    sub.m.add(lift.start >= pour.end + cast.lift_after.lo).only_enforce_if(here)
    sub.m.add(lift.start <= pour.end + cast.lift_after.hi).only_enforce_if(here)
    sub.costs.append(cast.cost * here)
    return CastVar(cast.id, pour_id, lift_id, pour, lift, here, True)


def _hold(sub: Sub, casts: dict[str, CastVar]) -> None:
    """Casts that need the same model or frame do not overlap from pour to lift."""
    held: dict[str, list[CastVar]] = {}
    for c in casts.values():
        for thing in sub.s.cast[c.id].holds:
            held.setdefault(thing, []).append(c)
    for users in held.values():
        if len(users) > 1 and any(c.free for c in users):
            intervals = []
            for c in users:
                begin = c.pour.start if c.pour else 0
                size = sub.m.new_int_var(0, sub.longest + sub.end, "")
                end = sub.m.new_int_var(0, sub.longest + sub.end, "")
                sub.m.add(end == c.lift.end)
                intervals.append(sub.m.new_optional_interval_var(begin, size, end, c.here, f"hold:{c.id}"))
            sub.m.add_no_overlap(intervals)


def add_jobs(sub: Sub) -> dict[str, str]:
    """Every job; task id by job."""
    for plan in sub.plan.jobs:
        if plan.id not in sub.freed.jobs:
            sub.fixed(plan.task)
            continue
        job = sub.s.job[plan.id]
        window = (job.window.lo, job.window.hi)
        sub.free(plan.task, "job", job.minutes, job.minutes, window=window, person=job.person, station=job.station)
    return {j.id: j.task for j in sub.plan.jobs}
