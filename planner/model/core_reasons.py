"""Why a scenario is infeasible, from the part of its must-do core that has no place."""

from __future__ import annotations

from dataclasses import dataclass

from planner.core import Must
from planner.plan import Reason
from planner.scenario import Scenario


@dataclass(frozen=True)
class _Thing:
    """One part of the conflict: what it is, how it is told, and the minutes between which it must be done."""

    role: str
    id: str
    words: str
    earliest: int
    latest: int
    work: int


def core_reasons(scenario: Scenario, conflict: Must) -> tuple[Reason, ...]:
    """One reason that names all things of the conflict: "core_no_room" for one thing, "core_conflict" for several."""
    things = _things(scenario, conflict)
    if not things:
        return ()
    if len(things) == 1:
        return (_alone(things[0]),)
    roles = {f"{t.role}{n}": t.id for n, t in enumerate(things, 1)}
    listed = "; ".join(f"{t.words} ({t.work} min between {t.earliest} and {t.latest})" for t in things[:8])
    more = f"; and {len(things) - 8} more" if len(things) > 8 else ""
    minutes = {"from": min(t.earliest for t in things), "to": max(t.latest for t in things)}
    counts = {"things": len(things), "work": sum(t.work for t in things)}
    text = f"These cannot all be done with the people, hours and stations there are: {listed}{more}."
    return (Reason("core_conflict", roles, minutes, counts, text),)


def _alone(thing: _Thing) -> Reason:
    minutes = {"earliest": thing.earliest, "latest": thing.latest}
    text = (
        f"No place for {thing.words}: it takes {thing.work} min between minute {thing.earliest} and minute "
        f"{thing.latest}, and nobody who can do it is there long enough at a stretch with its station free."
    )
    return Reason("core_no_room", {thing.role: thing.id}, minutes, {"work": thing.work}, text)


def _things(scenario: Scenario, conflict: Must) -> list[_Thing]:
    end = scenario.horizon
    things = [_Thing("kiln", k.id, f"unloading kiln {k.id}", opens, end, k.unload) for k, opens in conflict.unloads]
    for wip in conflict.releases:
        form = scenario.form[wip.form]
        window = form.release_after_covered if wip.covered and form.release_after_covered else form.release_after
        earliest = max(0, wip.pressed.b + window.lo)
        work = form.release.minutes(wip.count)
        things.append(_Thing("batch", wip.id, f"taking batch {wip.id} out of its moulds", earliest, end, work))
    for cast in conflict.casts:
        work = cast.pour + cast.lift
        things.append(_Thing("cast", cast.id, f"pouring and lifting mould {cast.id}", 0, end, work))
    for job in conflict.jobs:
        lo, hi = max(0, job.window.lo), min(job.window.hi, end)
        things.append(_Thing("job", job.id, f"job {job.id}", lo, hi, job.minutes))
    return things
