"""Whether the records of a plan hold values of the right kind: a guard for plans not read from checked JSON."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from planner.checks.violation import Violation
from planner.plan import Batch, CastPlan, Finish, Firing, JobPlan, Lot, OrderDone, Part, Plan, Reason, Task
from planner.rules import Rule

Test = Callable[[Any], bool]


def _whole(x: Any) -> bool:
    return type(x) is int


def _word(x: Any) -> bool:
    return type(x) is str


def _flag(x: Any) -> bool:
    return type(x) is bool


def _or_none(test: Test) -> Test:
    return lambda x: x is None or test(x)


def _many(test: Test) -> Test:
    return lambda x: type(x) is tuple and all(test(y) for y in x)


def _part(x: Any) -> bool:
    return type(x) is Part and _word(x.source) and _whole(x.count)


_WORD_OR_NONE, _WHOLE_OR_NONE = _or_none(_word), _or_none(_whole)
_WORDS, _PARTS = _many(_word), _many(_part)

RECORDS: dict[str, tuple[Rule, type, dict[str, Test]]] = {
    "tasks": (
        Rule.R01,
        Task,
        {"id": _word, "kind": _word, "start": _whole, "end": _whole, "person": _word, "station": _WORD_OR_NONE},
    ),
    "batches": (
        Rule.R02,
        Batch,
        {
            "id": _word,
            "form": _word,
            "count": _whole,
            "moulds": _WORDS,
            "press": _WORD_OR_NONE,
            "release": _WORD_OR_NONE,
            "steps": _WORDS,
            "covered_in_mould": _flag,
            "covered": _flag,
        },
    ),
    "firings": (
        Rule.R07,
        Firing,
        {
            "id": _word,
            "kiln": _word,
            "program": _WORD_OR_NONE,
            "load": _WORD_OR_NONE,
            "fire": _WHOLE_OR_NONE,
            "unload": _word,
            "pieces": _PARTS,
        },
    ),
    "lots": (Rule.R09, Lot, {"id": _word, "order": _word, "count": _whole, "sources": _PARTS, "glaze": _word}),
    "finishes": (
        Rule.R10,
        Finish,
        {"id": _word, "order": _word, "source": _word, "count": _whole, "task": _word},
    ),
    "casts": (Rule.R11, CastPlan, {"id": _word, "pour": _WORD_OR_NONE, "lift": _word}),
    "jobs": (Rule.R13, JobPlan, {"id": _word, "task": _word}),
    "orders": (Rule.R14, OrderDone, {"id": _word, "done": _whole, "late_min": _whole, "reckoned": _flag}),
    "reasons": (Rule.R14, Reason, {}),
}


def misshapen(plan: Plan) -> Iterator[Violation]:
    """Records that are no records and fields that hold a value of another kind."""
    for name, (rule, kind, fields) in RECORDS.items():
        records = getattr(plan, name)
        if type(records) is not tuple:
            yield Violation(rule, f"{name}: not a tuple but {type(records).__name__}")
            continue
        for i, record in enumerate(records):
            if type(record) is not kind:
                yield Violation(rule, f"{name}[{i}]: not a {kind.__name__} but {type(record).__name__}")
                continue
            for field, test in fields.items():
                if not test(getattr(record, field)):
                    yield Violation(rule, f"{name}[{i}].{field}: a value of the wrong kind")
    if not _WORDS(plan.spoiled):
        yield Violation(Rule.R13, "spoiled: not a tuple of ids")
    yield from _misshapen_reckoning(plan)


def _misshapen_reckoning(plan: Plan) -> Iterator[Violation]:
    if type(plan.costs) is not dict or not all(_word(k) and _whole(v) for k, v in plan.costs.items()):
        yield Violation(Rule.R14, "costs: not whole numbers by name")
    if not _whole(plan.cost):
        yield Violation(Rule.R14, "cost: not a whole number")
    if not _WHOLE_OR_NONE(plan.bound):
        yield Violation(Rule.R14, "bound: neither a whole number nor nothing")
    if not _word(plan.status):
        yield Violation(Rule.R14, "status: not a word")
