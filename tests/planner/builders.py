"""Small builders with defaults: a test names only what matters to it.

Every default is the least that is allowed or plenty: people are always there, racks are large, waits are short, nothing
costs anything but what the test gives a weight. Lists, pairs and tuples are taken for spans, windows and tuples.
"""

from __future__ import annotations

from functools import cache
from typing import Any, get_args, get_origin, get_type_hints

from planner import ware
from planner.plan import COST_NAMES, Batch, Finish, Firing, Lot, Part, Plan, Task
from planner.scenario import (
    Boards,
    Cast,
    Form,
    Glaze,
    Job,
    Kiln,
    Limit,
    Mould,
    Order,
    Person,
    Program,
    Racks,
    Scenario,
    Shelving,
    Station,
    Step,
    ToFinish,
    Weights,
    Work,
)
from planner.values import Span, Window

DAY = 1440
HORIZON = 10 * DAY


@cache
def _hints(cls: type) -> dict[str, Any]:
    return get_type_hints(cls, include_extras=False)


def _fit(kind: Any, value: Any) -> Any:
    """``value`` with its lists and pairs turned into what the annotation ``kind`` asks for."""
    if value is None or not isinstance(value, (list, tuple, set, frozenset)) or isinstance(value, (Span, Window)):
        return value
    inner = [a for a in get_args(kind) if a not in (type(None), ...)]
    if kind in (Span, Window):
        return kind(*value)
    if get_origin(kind) is tuple:
        return tuple(_fit(inner[0], x) for x in value)
    if get_origin(kind) is frozenset:
        return frozenset(value)
    return _fit(inner[0], value) if len(inner) == 1 else value


def _made(cls: type, defaults: dict[str, Any], given: dict[str, Any]) -> Any:
    hints = _hints(cls)
    if unknown := set(given) - set(hints):
        raise TypeError(f"{cls.__name__} has no {', '.join(sorted(unknown))}")
    return cls(**{k: _fit(hints[k], v) for k, v in {**defaults, **given}.items()})


def person(id: str = "ansa", **given: Any) -> Person:
    return _made(Person, {"id": id, "hours": [(0, HORIZON)], "extra": (), "skills": None}, given)


def station(id: str = "jolley", **given: Any) -> Station:
    return _made(Station, {"id": id, "kinds": ["press"], "free_at": 0, "mounted": None, "closed": ()}, given)


def work(each_min: int = 1, fixed: int = 0) -> Work:
    return Work(fixed, 60 * each_min)


def step(kind: str = "trim", **given: Any) -> Step:
    return _made(Step, {"kind": kind, "work": work(), "after": (0, 600), "after_covered": (0, 3000)}, given)


def shelving(clearance_mm: int = 100, **per_shelf: int) -> Shelving:
    """``shelving(80, a=12)``: 12 on each shelf of kiln a, 80 mm high."""
    return Shelving(clearance_mm, per_shelf or {"a": 10})


def form(id: str = "bowl", **given: Any) -> Form:
    defaults = {
        "id": id,
        "tool": f"t-{id}",
        "setup": 0,
        "recheck": 0,
        **{k: work() for k in ("press", "release", "glaze", "finish")},
        "release_after": (60, 600),
        "release_after_covered": (600, 1400),
        "mould_rest": 60,
        "steps": (),
        "dry": 60,
        "boards": Boards(10, 10),
        "bisque": shelving(),
        "glost": shelving(),
        "glaze_dry": 60,
    }
    return _made(Form, defaults, given)


def mould(id: str = "m1", form: str = "bowl", **given: Any) -> Mould:
    return _made(Mould, {"id": id, "form": form, "ready": 0, "uses_left": 50}, given)


def moulds(count: int, form: str = "bowl", **given: Any) -> tuple[Mould, ...]:
    """``count`` alike moulds m1, m2, … of a form other than bowl: form-1, form-2, …"""
    stem = "m" if form == "bowl" else f"{form}-"
    return tuple(mould(f"{stem}{i + 1}", form, **given) for i in range(count))


def cast(id: str = "c1", form: str = "bowl", **given: Any) -> Cast:
    defaults = {"id": id, "form": form, "pour": 30, "lift_after": (45, 240), "lift": 10, "dry": DAY, "uses": 50}
    defaults |= {"holds": (), "cost": 0, "required": False, "poured": None}
    return _made(Cast, defaults, given)


def glaze(id: str = "chalk", **given: Any) -> Glaze:
    return _made(Glaze, {"id": id, "fixed": 0, "programs": ["glost"]}, given)


def program(id: str, **given: Any) -> Program:
    return _made(Program, {"id": id, "stage": id, "fire": 300, "cool": 300, "kwh": 0}, given)


def kiln(id: str = "a", **given: Any) -> Kiln:
    defaults = {"id": id, "stack_mm": 1000, "shelf_mm": 20, "shelves": 8, "load": 10, "unload": 10, "free_at": 0}
    defaults |= {"start_spans": None, "closed": (), "programs": [program("bisque"), program("glost")], "limits": ()}
    return _made(Kiln, defaults, given)


def limit(stage: str, **counts: int) -> Limit:
    return Limit(stage, counts)


def job(id: str = "j1", **given: Any) -> Job:
    return _made(Job, {"id": id, "minutes": 30, "window": (0, 600), "person": None, "station": None}, given)


def order(id: str = "o1", **given: Any) -> Order:
    return _made(Order, {"id": id, "form": "bowl", "glaze": "chalk", "qty": 1, "due": HORIZON, "weight": 1}, given)


def in_mould(id: str = "w-in", **given: Any) -> ware.InMould:
    held = tuple(given.pop("moulds", ("m1",)))
    defaults = {"id": id, "form": "bowl", "count": len(held), "moulds": held, "pressed": (-60, -30), "first": -50}
    return _made(ware.InMould, {**defaults, "covered": False, "until": None}, given)


def released(id: str = "w-out", **given: Any) -> ware.Released:
    defaults = {"id": id, "form": "bowl", "count": 1, "released": (-20, -10), "covered": False, "steps_done": 0}
    return _made(ware.Released, {**defaults, "until": None}, given)


def drying(id: str = "w-dry", **given: Any) -> ware.Drying:
    return _made(ware.Drying, {"id": id, "form": "bowl", "count": 1, "dry_at": 0}, given)


def bisqued(id: str = "w-bisque", **given: Any) -> ware.Bisqued:
    return _made(ware.Bisqued, {"id": id, "form": "bowl", "count": 1, "at": 0}, given)


def glazed(id: str = "w-glazed", **given: Any) -> ware.Glazed:
    return _made(ware.Glazed, {"id": id, "form": "bowl", "count": 1, "order": "o1", "glaze": "chalk", "at": 0}, given)


def fired(id: str = "w-fired", **given: Any) -> ware.Fired:
    return _made(ware.Fired, {"id": id, "form": "bowl", "count": 1, "order": "o1", "at": 0}, given)


def in_kiln(id: str = "w-kiln", **given: Any) -> ware.InKiln:
    defaults = {"id": id, "form": "bowl", "count": 1, "kiln": "a", "fired_stage": "glost", "opens": 60, "order": None}
    return _made(ware.InKiln, defaults, given)


def weights(**given: int) -> Weights:
    return _made(Weights, {**dict.fromkeys(_hints(Weights), 0), "late_step": 1}, given)


def to_finish(none: int = 500, green: int = 400, bisqued: int = 300, glazed: int = 200, fired: int = 100) -> ToFinish:
    return ToFinish(none, green, bisqued, glazed, fired)


def scenario(**given: Any) -> Scenario:
    """A scenario with one person and one jolley; kiln, glaze and moulds come with the first form."""
    forms = given.get("forms", ())
    defaults: dict[str, Any] = {
        "start": "2026-11-30T08:00+00:00",
        "horizon": HORIZON,
        "people": [person()],
        "stations": [station()],
        "racks": Racks(1000, 1000, 1000),
        "forms": (),
        "moulds": (),
        "casts": (),
        "glazes": [glaze()] if forms else (),
        "kilns": [kiln()] if forms else (),
        "jobs": (),
        "orders": (),
        "wip": (),
        "to_finish": to_finish(),
        "weights": weights(),
        "previous": None,
        "pins": (),
    }
    return _made(Scenario, defaults, given)


def bisque_and_back(**given: Any) -> Scenario:
    """A scenario with the one form bowl, two moulds, one glaze, one kiln and one order for one bowl."""
    return scenario(**{"forms": [form()], "moulds": moulds(2), "orders": [order()], **given})


def task(id: str, kind: str, start: int, end: int, person: str = "ansa", station: str | None = None) -> Task:
    return Task(id, kind, start, end, person, station)


def batch(id: str = "b1", **given: Any) -> Batch:
    held = tuple(given.pop("moulds", ("m1",)))
    defaults = {"id": id, "form": "bowl", "count": len(held), "moulds": held, "press": None, "release": None}
    return _made(Batch, {**defaults, "steps": (), "covered_in_mould": False, "covered": False}, given)


def parts(**counts: int) -> tuple[Part, ...]:
    """``parts(b1=3)``: 3 pieces from b1."""
    return tuple(Part(k.replace("__", ":"), n) for k, n in counts.items())


def firing(id: str = "f1", **given: Any) -> Firing:
    defaults = {"id": id, "kiln": "a", "program": None, "load": None, "fire": None, "unload": "t", "pieces": ()}
    return _made(Firing, defaults, given)


def lot(id: str = "l1", **given: Any) -> Lot:
    return _made(Lot, {"id": id, "order": "o1", "count": 1, "sources": (), "glaze": "t"}, given)


def finish(id: str = "n1", **given: Any) -> Finish:
    return _made(Finish, {"id": id, "order": "o1", "source": "w-fired", "count": 1, "task": "t"}, given)


def plan(tasks: tuple[Task, ...] | list[Task] = (), **given: Any) -> Plan:
    """A plan; its costs are nought but those named in ``costs``, and ``cost`` is their sum."""
    costs = {**dict.fromkeys(COST_NAMES, 0), **given.pop("costs", {})}
    defaults = {"status": "feasible", "cost": sum(costs.values()), "costs": costs, "bound": None, "tasks": tasks}
    return _made(Plan, defaults, given)
