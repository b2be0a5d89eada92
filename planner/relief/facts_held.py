"""The facts that decide whether there is a plan at all, each with the scenario in which it does not hold."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from planner.core import must
from planner.scenario import Cast, InKiln, InMould, Job, Kiln, Person, Scenario, Span, Station

Change = Callable[[Scenario], Scenario]


@dataclass(frozen=True)
class Fact:
    """One thing that holds: ``code``, its things, minutes and counts, in words; ``lift`` makes it hold no longer.

    Codes of what must be done: ``unload``, ``release``, ``cast``, ``job``. Codes of what limits it: ``hours``,
    ``skills``, ``closed``, ``busy`` (a station that is not free yet), ``shared`` (a model or frame).
    """

    code: str
    things: dict[str, str]
    minutes: dict[str, int]
    counts: dict[str, int]
    text: str
    lift: Change = field(repr=False, compare=False)


def facts_of(s: Scenario) -> list[Fact]:
    """All facts of the must-do core of ``s``, what limits it first."""
    return [*_limits(s), *_musts(s)]


def lifted(scenario: Scenario, facts: list[Fact]) -> Scenario:
    """``scenario`` in which none of ``facts`` holds."""
    for fact in facts:
        scenario = fact.lift(scenario)
    return scenario


def bare(s: Scenario) -> Scenario:
    """``s`` without everything that cannot make it impossible."""
    held = [w for w in s.wip if isinstance(w, InKiln | InMould)]
    wip = tuple(replace(w, order=None) if isinstance(w, InKiln) else w for w in held)
    return replace(s, orders=(), wip=wip, previous=None, pins=())


def _musts(s: Scenario) -> Iterator[Fact]:
    core = must(s)
    for kiln, opens in core.unloads:
        yield _unload(s, kiln, opens)
    for w in core.releases:
        yield _release(s, w)
    for cast in core.casts:
        yield _cast(cast)
    for job in core.jobs:
        yield _job(s, job)


def _unload(s: Scenario, kiln: Kiln, opens: int) -> Fact:
    def lift(x: Scenario) -> Scenario:
        wip = tuple(w for w in x.wip if not (isinstance(w, InKiln) and w.kiln == kiln.id))
        return replace(x, wip=wip, kilns=tuple(replace(k, free_at=0) if k.id == kiln.id else k for k in x.kilns))

    text = f"kiln {kiln.name or kiln.id} must be drawn ({kiln.unload} min) from {clock(s, opens)} on"
    return Fact("unload", {"kiln": kiln.id}, {"from": opens}, {"minutes": kiln.unload}, text, lift)


def _release(s: Scenario, w: InMould) -> Fact:
    form = s.form[w.form]
    window = (form.release_after_covered if w.covered else None) or form.release_after
    since, work = max(0, w.pressed.b + window.lo), form.release.minutes(w.count)

    def lift(x: Scenario) -> Scenario:
        moulds = tuple(replace(m, ready=0) if m.id in w.moulds else m for m in x.moulds)
        return replace(x, moulds=moulds, wip=tuple(y for y in x.wip if y.id != w.id))

    text = f"{w.count} × {form.name or form.id} must come out of the moulds ({work} min) from {clock(s, since)} on"
    return Fact("release", {"batch": w.id, "form": form.id}, {"from": since}, {"minutes": work}, text, lift)


def _cast(cast: Cast) -> Fact:
    def lift(x: Scenario) -> Scenario:
        return replace(x, casts=tuple(replace(c, required=False) if c.id == cast.id else c for c in x.casts))

    low, high = cast.lift_after
    text = f"mould {cast.name or cast.id} must be poured ({cast.pour} min), and lifted ({cast.lift} min) {low} to "
    minutes = {"lift_from": low, "lift_until": high}
    text += f"{high} min later"
    return Fact("cast", {"cast": cast.id, "form": cast.form}, minutes, {"minutes": cast.pour + cast.lift}, text, lift)


def _job(s: Scenario, job: Job) -> Fact:
    def lift(x: Scenario) -> Scenario:
        return replace(x, jobs=tuple(j for j in x.jobs if j.id != job.id))

    lo, hi = max(0, job.window.lo), min(job.window.hi, s.horizon)
    person = s.person.get(job.person or "")
    who = f" by {person.name or person.id}" if person is not None else ""
    text = f"{job.name or job.id} must be done{who} ({job.minutes} min) between {clock(s, lo)} and {clock(s, hi)}"
    return Fact("job", {"job": job.id}, {"from": lo, "until": hi}, {"minutes": job.minutes}, text, lift)


def _limits(s: Scenario) -> Iterator[Fact]:
    for p in s.people:
        yield _hours(s, p)
        if p.skills is not None:
            yield _skills(p)
    for x in s.stations:
        if x.free_at > 0:
            yield _busy(s, x)
        for span in x.closed:
            if span.b > 0 and span.a < s.horizon:
                yield _closed(s, x, span)
    holders: dict[str, int] = {}
    for cast in must(s).casts:
        for thing in cast.holds:
            holders[thing] = holders.get(thing, 0) + 1
    yield from (_shared(thing, n) for thing, n in holders.items() if n > 1)


def _hours(s: Scenario, p: Person) -> Fact:
    def lift(x: Scenario) -> Scenario:
        always = (Span(0, x.horizon),)
        return replace(x, people=tuple(replace(y, hours=always, extra=()) if y.id == p.id else y for y in x.people))

    spans = sorted((max(0, a), min(b, s.horizon)) for a, b in (*p.hours, *p.extra) if b > 0 and a < s.horizon)
    there = sum(b - a for a, b in spans)
    name = p.name or p.id
    if not spans:
        return Fact("hours", {"person": p.id}, {}, {"minutes": 0}, f"{name} is not there at all", lift)
    text = f"{name} is there for {there} min in {len(spans)} stretches, {clock(s, spans[0][0])} at the earliest"
    minutes = {"from": spans[0][0], "until": spans[-1][1]}
    return Fact("hours", {"person": p.id}, minutes, {"minutes": there, "stretches": len(spans)}, text, lift)


def _skills(p: Person) -> Fact:
    def lift(x: Scenario) -> Scenario:
        return replace(x, people=tuple(replace(y, skills=None) if y.id == p.id else y for y in x.people))

    known = ", ".join(sorted(p.skills or ())) or "nothing"
    return Fact("skills", {"person": p.id}, {}, {}, f"{p.name or p.id} does only {known}", lift)


def _busy(s: Scenario, x: Station) -> Fact:
    def lift(y: Scenario) -> Scenario:
        return replace(y, stations=tuple(replace(z, free_at=0) if z.id == x.id else z for z in y.stations))

    text = f"{x.name or x.id} is not free before {clock(s, x.free_at)}"
    return Fact("busy", {"station": x.id}, {"from": x.free_at}, {}, text, lift)


def _closed(s: Scenario, x: Station, span: Span) -> Fact:
    def lift(y: Scenario) -> Scenario:
        rest = (replace(z, closed=tuple(c for c in z.closed if c != span)) if z.id == x.id else z for z in y.stations)
        return replace(y, stations=tuple(rest))

    text = f"{x.name or x.id} is taken from {clock(s, max(0, span.a))} to {clock(s, span.b)}"
    return Fact("closed", {"station": x.id}, {"from": span.a, "until": span.b}, {}, text, lift)


def _shared(thing: str, casts: int) -> Fact:
    def lift(x: Scenario) -> Scenario:
        return replace(
            x, casts=tuple(replace(c, holds=tuple(h for h in c.holds if h != thing)) for c in x.casts)
        )

    text = f"{casts} moulds need {thing}, which serves one at a time"
    return Fact("shared", {"thing": thing}, {}, {"casts": casts}, text, lift)


def clock(s: Scenario, minute: int) -> str:
    """The local time of ``minute``: Tue 1 December 08:00."""
    at = datetime.fromisoformat(s.start) + timedelta(minutes=minute)
    return f"{at:%a} {at.day} {at:%B %H:%M}"
