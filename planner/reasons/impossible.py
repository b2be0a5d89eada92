"""Why a scenario has no plan, as far as it shows in single things that must be done (R01, R07, R11, R13).

What is impossible only because several things are in each other's way is the exact core model's to say.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.core import must
from planner.dispatch.calendar import Gaps
from planner.dispatch.shop import meet
from planner.plan import Reason
from planner.scenario import Cast, InMould, Job, Kiln, Person, Scenario


def infeasible_reasons(scenario: Scenario) -> tuple[Reason, ...]:
    """A reason for every single thing of the must-do core that has no place even in an empty studio.

    Codes: ``nobody_with_skill``, ``job_window``, ``unload_no_hands``, ``release_no_hands``, ``lift_window``,
    ``shared_model``. Each is a proof that there is no plan. Empty where each thing alone has a place: that proves
    nothing.
    """
    return tuple(_reasons(scenario))


def _reasons(s: Scenario) -> Iterator[Reason]:
    core = must(s)
    for kiln, opens in core.unloads:
        yield from _unload(s, kiln, opens)
    for w in core.releases:
        yield from _release(s, w)
    for cast in core.casts:
        yield from _cast(s, cast)
    for job in core.jobs:
        yield from _job(s, job)
    yield from _shared(s, core.casts)


def _able(s: Scenario, kind: str) -> list[Person]:
    return [p for p in s.people if p.can(kind)]


def _unskilled(kind: str, role: str, thing: str) -> Reason:
    text = f"Nobody has the skill for {kind}, which {role} {thing} needs."
    return Reason("nobody_with_skill", {role: thing, "kind": kind}, {}, {}, text)


def _stations(s: Scenario, kind: str) -> list[Gaps] | None:
    if kind not in s.served_kinds:
        return None
    return [_station(s, x.id) for x in s.stations if kind in x.kinds]


def _station(s: Scenario, station: str) -> Gaps:
    x = s.station[station]
    gaps = Gaps.joined([(max(0, x.free_at), s.horizon)], s.horizon)
    for span in x.closed:
        gaps.cut(*span)
    return gaps


def _earliest(
    s: Scenario, people: list[Person], stations: list[Gaps] | None, lo: int, minutes: int, hi: int
) -> int:
    """The earliest start of a task over ``minutes`` in ``[lo, hi]`` in an empty studio, or -1."""
    best = -1
    for p in people:
        mine = Gaps.joined((*p.hours, *p.extra), s.horizon)
        if stations is None:
            starts = [mine.find(lo, minutes, hi - minutes)]
        else:
            starts = [meet(mine, g, lo, minutes, hi - minutes) for g in stations]
        best = min((x for x in (*starts, best) if x >= 0), default=-1)
    return best


def _placeable(s: Scenario, kind: str, lo: int, minutes: int) -> bool:
    return _earliest(s, _able(s, kind), _stations(s, kind), lo, minutes, s.horizon) >= 0


def _unload(s: Scenario, kiln: Kiln, opens: int) -> Iterator[Reason]:
    if not _able(s, "unload"):
        yield _unskilled("unload", "kiln", kiln.id)
    elif not _placeable(s, "unload", max(0, opens), kiln.unload):
        text = (
            f"Kiln {kiln.id} can be opened at {opens}, and nobody who unloads is there for {kiln.unload} min "
            f"between then and the end at {s.horizon}."
        )
        minutes = {"opens": opens, "end": s.horizon}
        yield Reason("unload_no_hands", {"kiln": kiln.id}, minutes, {"minutes": kiln.unload}, text)


def _release(s: Scenario, w: InMould) -> Iterator[Reason]:
    form = s.form[w.form]
    window = (form.release_after_covered if w.covered else None) or form.release_after
    lo, work = max(0, w.pressed.b + window.lo), form.release.minutes(w.count)
    if not _able(s, "release"):
        yield _unskilled("release", "batch", w.id)
    elif not _placeable(s, "release", lo, work):
        text = (
            f"Batch {w.id} may come out of its moulds from {lo} on, and nobody who does that is there for {work} min "
            f"between then and the end at {s.horizon}."
        )
        minutes = {"from": lo, "end": s.horizon}
        yield Reason("release_no_hands", {"batch": w.id, "form": form.id}, minutes, {"minutes": work}, text)


def _cast(s: Scenario, cast: Cast) -> Iterator[Reason]:
    for kind in ("pour", "lift"):
        if not _able(s, kind):
            yield _unskilled(kind, "cast", cast.id)
            return
    lo, people, places = 0, _able(s, "pour"), _stations(s, "pour")
    for _ in range(1000):
        pour = _earliest(s, people, places, lo, cast.pour, s.horizon)
        if pour < 0:
            break
        poured = pour + cast.pour
        lift = _earliest(s, _able(s, "lift"), _stations(s, "lift"), poured + cast.lift_after.lo, cast.lift, s.horizon)
        if lift < 0:
            break
        if lift <= poured + cast.lift_after.hi:
            return
        lo = max(pour + 1, lift - cast.lift_after.hi - cast.pour)
    else:
        return  # not looked at to the end: no proof
    low, high = cast.lift_after
    text = (
        f"Mould {cast.id} must be poured ({cast.pour} min) and lifted {low} to {high} min later ({cast.lift} min), "
        f"and there is no time at which somebody can do both before the end at {s.horizon}."
    )
    minutes = {"lift_from": low, "lift_until": high, "end": s.horizon}
    yield Reason("lift_window", {"cast": cast.id, "form": cast.form}, minutes, {"minutes": cast.pour}, text)


def _job(s: Scenario, job: Job) -> Iterator[Reason]:
    people = [p for p in _able(s, "job") if job.person in (None, p.id)]
    if not people:
        yield _unskilled("job", "job", job.id)
        return
    lo, hi = max(0, job.window.lo), min(job.window.hi, s.horizon)
    stations = _stations(s, "job") if job.station is None else [_station(s, job.station)]
    if _earliest(s, people, stations, lo, job.minutes, hi) >= 0:
        return
    who = job.person or "nobody"
    there = f"{who} is not there" if job.person else "nobody is there"
    text = f"Job {job.id} takes {job.minutes} min between {lo} and {hi}, and {there} for that long at a stretch"
    text += " while its station is free." if job.station else "."
    things = {"job": job.id} | ({"person": job.person} if job.person else {})
    yield Reason("job_window", things, {"from": lo, "until": hi}, {"minutes": job.minutes}, text)


def _shared(s: Scenario, casts: tuple[Cast, ...]) -> Iterator[Reason]:
    """Models and frames that the required casts need for longer than there is time with somebody there."""
    by_thing: dict[str, list[Cast]] = {}
    for cast in casts:
        for thing in cast.holds:
            by_thing.setdefault(thing, []).append(cast)
    for thing, users in by_thing.items():
        need = sum(c.pour + c.lift_after.lo + c.lift for c in users)
        if len(users) > 1 and need > s.horizon:
            text = (
                f"{len(users)} moulds need {thing} for {need} min one after the other, and there are only "
                f"{s.horizon} min."
            )
            things = {"thing": thing} | {f"cast{n}": c.id for n, c in enumerate(users, 1)}
            yield Reason("shared_model", things, {"end": s.horizon}, {"casts": len(users), "minutes": need}, text)
