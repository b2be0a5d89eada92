"""Random studios reach every key and every branch of the format; otherwise the tests that lean on it say little."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from functools import cache
from pathlib import Path
from typing import Annotated, Any, get_args, get_origin, get_type_hints

import pytest

import planner
from planner.bench.studios import DAYS, SIZES, disturbed, lifelike, strange
from planner.bench.studios.disturbances import DISTURBANCES
from planner.bench.studios.twists import TWISTS
from planner.jsonio import read_scenario, scenario_to_json, write_scenario
from planner.scenario import Cast, Form, Glaze, Job, Kiln, Mould, Person, Scenario, Shelving, Station, Step
from planner.values import OneOf, Whole, Window
from planner.ware import WIP_STAGES

SEEDS = range(300)
Branch = Callable[[Scenario], bool]


@pytest.fixture(scope="module")
def many() -> list[Scenario]:
    return [strange(seed) for seed in SEEDS] + [disturbed(strange(seed), seed, 3) for seed in SEEDS]


def _boards(s: Scenario, stage: str, rack: str) -> int:
    key = "glazed" if rack == "glazed" else "green"
    return sum(-(-w.count // getattr(s.form[w.form].boards, key)) for w in s.wip if w.stage == stage)


def _of(s: Scenario, stage: str) -> list[Any]:
    return [w for w in s.wip if w.stage == stage]


def _any(things: str, test: Callable[[Any], bool]) -> Branch:
    return lambda s: any(test(x) for x in getattr(s, things))


def _ware(stage: str, test: Callable[[Any], bool]) -> Branch:
    return lambda s: any(test(w) for w in _of(s, stage))


BRANCHES: dict[str, Branch] = {
    "nobody": lambda s: not s.people,
    "a person who is never there": _any("people", lambda p: not p.hours and not p.extra),
    "touching spans": _any("people", lambda p: any(a.b == b.a for a, b in zip(p.hours, p.hours[1:], strict=False))),
    "extra touching hours": _any("people", lambda p: any(x.a == h.b for x in p.extra for h in p.hours)),
    "limited skills": _any("people", lambda p: p.skills is not None and len(p.skills) > 2),
    "no skill": _any("people", lambda p: p.skills == frozenset()),
    "a closed station": _any("stations", lambda x: bool(x.closed)),
    "a station free later": _any("stations", lambda x: x.free_at > 0),
    "a tool of no form is mounted": lambda s: bool(s.forms) and any(
        x.mounted and x.mounted not in {f.tool for f in s.forms} for x in s.stations
    ),
    "a tool of a form is mounted": lambda s: any(x.mounted in {f.tool for f in s.forms} for x in s.stations),
    "two stations press": lambda s: sum("press" in x.kinds for x in s.stations) > 1,
    "a station of several kinds": _any("stations", lambda x: len(x.kinds) > 2),
    "a station for jobs": _any("stations", lambda x: "job" in x.kinds),
    "no rack": lambda s: s.racks.damp == 0,
    "over-full drying rack": lambda s: _boards(s, "drying", "drying") > s.racks.drying,
    "over-full glazed rack": lambda s: _boards(s, "glazed", "glazed") > s.racks.glazed,
    "forms share a tool": lambda s: len({f.tool for f in s.forms}) < len(s.forms),
    "work of no time": _any("forms", lambda f: f.press.fixed == f.press.each_s == 0),
    "fixed work": _any("forms", lambda f: f.release.fixed > 0),
    "no step": _any("forms", lambda f: not f.steps),
    "three steps": _any("forms", lambda f: len(f.steps) == 3),
    "a step that cannot wait covered": _any("forms", lambda f: any(x.after_covered is None for x in f.steps)),
    "moulds never covered": _any("forms", lambda f: f.release_after_covered is None),
    "no rest, no drying": _any("forms", lambda f: f.mould_rest == f.dry == f.glaze_dry == 0),
    "a kiln that cannot take a form": lambda s: any(k.id not in f.bisque.per_shelf for f in s.forms for k in s.kilns),
    "a worn mould": _any("moulds", lambda m: m.uses_left == 0),
    "a mould ready later": _any("moulds", lambda m: (m.ready or 0) > 0),
    "forms but no mould": lambda s: bool(s.forms) and not s.moulds,
    "a required cast": _any("casts", lambda c: c.required and c.poured is None),
    "a poured cast": _any("casts", lambda c: not c.required and c.poured is not None),
    "a poured cast that is required": _any("casts", lambda c: c.required and c.poured is not None),
    "a cast that holds nothing": _any("casts", lambda c: not c.holds),
    "casts that hold the same": lambda s: (
        len({h for c in s.casts for h in c.holds}) < sum(len(c.holds) for c in s.casts)
    ),
    "a glaze for several programs": _any("glazes", lambda g: len(g.programs) > 1),
    "no kiln": lambda s: bool(s.forms) and not s.kilns,
    "several kilns": lambda s: len(s.kilns) > 1,
    "a kiln free later": _any("kilns", lambda k: (k.free_at or 0) > 0),
    "a closed kiln": _any("kilns", lambda k: bool(k.closed)),
    "hours to light a kiln": _any("kilns", lambda k: bool(k.start_spans)),
    "no hour to light a kiln": _any("kilns", lambda k: k.start_spans == ()),
    "a limit of several forms": _any("kilns", lambda k: any(len(x.counts) > 1 for x in k.limits)),
    "a bisque limit": _any("kilns", lambda k: any(x.stage == "bisque" for x in k.limits)),
    "a job of one person": _any("jobs", lambda j: j.person is not None),
    "a job at a station": _any("jobs", lambda j: j.station is not None),
    "a window beyond the horizon": lambda s: any(j.window.hi > s.horizon for j in s.jobs),
    "no order": lambda s: bool(s.forms) and not s.orders,
    "an order due before now": _any("orders", lambda o: o.due < 0),
    "an order of no weight": _any("orders", lambda o: o.weight == 0),
    "a form without an order": lambda s: any(f.id not in {o.form for o in s.orders} for f in s.forms),
    "covered in its mould": _ware("in_mould", lambda w: w.covered),
    "out by then": _ware("in_mould", lambda w: w.until is not None),
    "leather-hard, open": _ware("released", lambda w: not w.covered),
    "leather-hard, steps behind it": _ware("released", lambda w: w.steps_done > 0),
    "leather-hard, a person's word": _ware("released", lambda w: w.covered and w.until is not None),
    "glazed for stock": _ware("glazed", lambda w: w.order is None),
    "glazed later": _ware("glazed", lambda w: w.at > 0),
    "fired for stock": _ware("fired", lambda w: w.order is None),
    "a bisque firing now": _ware("firing", lambda w: w.fired_stage == "bisque"),
    "a glost firing now": _ware("firing", lambda w: w.order is not None),
    "a firing for stock": _ware("firing", lambda w: w.fired_stage == "glost" and w.order is None),
    "a load that opens at several minutes": lambda s: any(
        len({w.opens for w in _of(s, "firing") if w.kiln == k.id}) > 1 for k in s.kilns
    ),
    "a load that cannot be drawn in time": lambda s: any(
        w.opens + s.kiln[w.kiln].unload > s.horizon for w in _of(s, "firing")
    ),
    "weights of nought": lambda s: s.weights.late == 0,
    "reckoned alike at every stage": lambda s: s.to_finish.none == s.to_finish.fired,
    "a plan to replace": lambda s: s.previous is not None and not s.pins,
    "pins": lambda s: bool(s.pins),
    "a replaced task that has begun": lambda s: s.previous is not None and any(t.start < 0 for t in s.previous.tasks),
    "another zone": lambda s: not s.start.endswith("+00:00"),
    "nothing at all": lambda s: not (s.people or s.forms or s.orders),
}  # fmt: skip


@pytest.mark.parametrize("branch", BRANCHES)
def test_every_branch_of_the_format_comes_up(many: list[Scenario], branch: str) -> None:
    reached = sum(BRANCHES[branch](s) for s in many)
    assert 0 < reached < len(many), f"{branch}: {reached} of {len(many)}"


def _fields(record: Any) -> Iterator[tuple[str, Any]]:
    """Each field of ``record`` and of the records in it, as ``Class.field`` and its value."""
    for f in fields(record):
        value = getattr(record, f.name)
        yield f"{type(record).__name__}.{f.name}", value
        for x in value if isinstance(value, tuple) else (value,):
            if is_dataclass(x):
                yield from _fields(x)


def _asked_of(cls: type, name: str, annotation: Any) -> set[str]:
    """What must come up for a field: null where it may be null, an empty and a filled list, both truths."""
    key = f"{cls.__name__}.{name}"
    text = str(annotation)
    if name in ("stage", "moulds", "counts", "diagnostics") and cls not in (Scenario,):
        return set()  # never empty, or of no meaning
    asked = {f"{key} null", f"{key} given"} if "None" in text else set()
    if "tuple[" in text or "frozenset[" in text or "dict[" in text:
        asked |= {f"{key} empty", f"{key} filled"}
    return asked | ({f"{key} True", f"{key} False"} if annotation is bool else set())


def test_every_key_comes_up_null_and_given_empty_and_filled(many: list[Scenario]) -> None:
    asked: set[str] = set()
    for cls in (Scenario, Person, Station, Form, Step, Shelving, Mould, Cast, Glaze, Kiln, Job, *WIP_STAGES.values()):
        hints = get_type_hints(cls)
        asked |= {a for f in fields(cls) for a in _asked_of(cls, f.name, hints[f.name])}
    seen: set[str] = set()
    for s in many:
        for key, value in _fields(s):
            seen.add(f"{key} null" if value is None else f"{key} given")
            if isinstance(value, bool):
                seen.add(f"{key} {value}")
            if isinstance(value, (tuple, frozenset, dict)):
                seen.add(f"{key} filled" if value else f"{key} empty")
    assert len(asked) > 60
    assert asked - seen == set()
    assert {w.stage for s in many for w in s.wip} == set(WIP_STAGES)


def _rules(annotation: Any) -> Iterator[Any]:
    """The rules of a field's annotation and of what it holds: ``Whole``, ``OneOf`` and the like, and ``Window``."""
    if annotation is Window:
        yield Window
    elif get_origin(annotation) is Annotated:
        yield from annotation.__metadata__
    for inner in get_args(annotation):
        yield from _rules(inner)


def _edges(rule: Any) -> set[Any]:
    """What must come up under a rule: each word; the least number and another; minutes before 0, 0 and after."""
    if rule is Window:
        return {"from 0", "from later"}
    if isinstance(rule, OneOf):
        return set(rule.words)
    if isinstance(rule, Whole):
        return {-1, 0, 1} if rule.lo < 0 else {rule.lo, "above"}
    return set()


def _edge(rule: Any, x: Any) -> Any:
    """The one of :func:`_edges` that the value ``x`` is, if any."""
    if rule is Window:
        return "from later" if x.lo else "from 0"
    if isinstance(rule, Whole):
        return (x > 0) - (x < 0) if rule.lo < 0 else x if x == rule.lo else "above"
    return x


def test_every_number_comes_up_at_its_least_and_above_and_every_word(many: list[Scenario]) -> None:
    asked: set[tuple[str, Any]] = set()
    seen: set[tuple[str, Any]] = set()
    hints = cache(lambda cls: {k: tuple(_rules(v)) for k, v in get_type_hints(cls, include_extras=True).items()})
    for record in (x for s in many for x in _records(replace(s, previous=None, pins=()))):
        for name, rules in hints(type(record)).items():
            value, key = getattr(record, name), f"{type(record).__name__}.{name}"
            for rule in (r for r in rules if r is Window or isinstance(r, (Whole, OneOf))):
                asked |= {(key, edge) for edge in _edges(rule)}
                held = value.values() if isinstance(value, dict) else [value]
                seen |= {(key, _edge(rule, x)) for x in held if x is not None}
    assert len(asked) > 120
    assert asked - seen == set()


def _records(record: Any) -> Iterator[Any]:
    yield record
    for f in fields(record):
        value = getattr(record, f.name)
        for x in value if isinstance(value, tuple) else (value,):
            if is_dataclass(x):
                yield from _records(x)


def test_every_word_of_the_scenario_on_the_format_s_page_comes_up(many: list[Scenario]) -> None:
    """Keys, kinds, stages: whatever stands in code style there is a key or a text of some random studio."""
    page = (Path(planner.__file__).parent / "FORMAT.md").read_text("utf-8")
    part = page[page.index("## Scenario") : page.index("## Plan")]
    words = set(re.findall(r"[`{\" ]([a-z]+(?:_[a-z]+)*)(?=[`\"\[}])", " ".join(re.findall(r"`[^`]+`", part))))
    assert {"release_after_covered", "per_shelf", "counts", "clearance_mm", "in_mould", "fired_stage"} <= words
    found: set[str] = set()
    for s in many:
        found |= _words(scenario_to_json(s))
    assert words - found == {"pieces"}  # what a count is of, no key


def _words(x: Any) -> set[str]:
    """All keys and texts in a JSON value."""
    if isinstance(x, dict):
        return set(x).union(*map(_words, x.values()))
    if isinstance(x, list):
        return set().union(*map(_words, x))
    return {x} if isinstance(x, str) else set()


def test_every_twist_and_disturbance_leaves_a_sound_scenario() -> None:
    for seed in range(40):
        assert read_scenario(write_scenario(strange(seed, twists=len(TWISTS))))
        assert read_scenario(write_scenario(disturbed(lifelike(seed), seed, times=2 * len(DISTURBANCES))))


@pytest.mark.parametrize("size", SIZES)
def test_a_seed_gives_the_same_studio_again_and_each_seed_its_own(size: str) -> None:
    assert lifelike(3, size) == lifelike(3, size) != lifelike(4, size)
    assert strange(3) == strange(3) != strange(4)
    assert disturbed(lifelike(3, size), 5, 6) == disturbed(lifelike(3, size), 5, 6)


@pytest.mark.parametrize("size", SIZES)
def test_a_lifelike_studio_is_busy_but_not_drowned(size: str) -> None:
    """The hands that its orders still ask for are between a fifth of those present and all of them."""
    for seed in range(8):
        s = lifelike(seed, size)
        made = {f.id: sum(w.each_s for w in (f.press, f.release, f.glaze, f.finish)) / 60 for f in s.forms}
        asked = sum(o.qty * made[o.form] for o in s.orders)
        there = sum(h.b - h.a for p in s.people for h in p.hours)
        assert 0.1 < asked / there < 1.0, (size, seed, asked / there)
        assert s.horizon == DAYS[size] * 1440
