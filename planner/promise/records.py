"""The answer to "when could I have these?", as records and as JSON."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from planner.jsonio import plan_to_json, scenario_to_json
from planner.plan import Plan, Reason
from planner.promise.standing import Setback
from planner.scenario import Order, Scenario

STATUSES = ("promise", "impossible", "none")


@dataclass(frozen=True)
class Later:
    """A present order that would be later: its last late minute before and after, and the pieces set back."""

    order: str
    late_before: int
    late_after: int
    pieces: int
    minutes: int


@dataclass(frozen=True)
class EarlierDay:
    """An earlier day than the promised one, and what it would cost: ``cost`` in the scenario's own weights."""

    due: int
    done: int
    cost: int
    later: tuple[Later, ...]
    text: str
    plan: Plan


@dataclass(frozen=True)
class Option:
    """Something that would bring the order ``sooner_min`` sooner: measured, in a plan that the checker accepted.

    Both are None where there is no date without it.
    """

    code: str
    things: dict[str, str]
    counts: dict[str, int]
    minutes: dict[str, int]
    done: int
    sooner_min: int | None
    sooner_days: int | None
    text: str
    scenario: Scenario = field(repr=False)
    plan: Plan = field(repr=False)


@dataclass(frozen=True)
class Promise:
    """The earliest date found for an order that makes no present order later.

    ``status``: "promise"; "impossible" (``reasons`` are proofs); "none" (no date found within ``most_days``).
    ``order`` has the promised date as its ``due``: the end of the day on which its last piece is finished, ``done``.
    ``plan`` is valid for ``scenario``, which is the one given with the order in it and ``added_days`` more days.
    ``reference`` is the plan by which the present orders were measured. ``parts`` = ``(minute, pieces)`` finished.
    """

    status: str
    order: Order
    scenario: Scenario
    reference: Plan | None
    plan: Plan | None = None
    done: int | None = None
    date: str = ""
    parts: tuple[tuple[int, int], ...] = ()
    added_days: int = 0
    most_days: int = 0
    earlier: tuple[EarlierDay, ...] = ()
    reasons: tuple[Reason, ...] = ()
    options: tuple[Option, ...] = ()
    measured: int = 0  # easings that were tried, with or without a gain
    notes: tuple[str, ...] = ()
    final: bool = False
    seconds: float = 0.0
    tries: int = 0

    @property
    def due(self) -> int | None:
        """The promised date as a minute; None without a promise."""
        return self.order.due if self.status == "promise" else None


def as_json(p: Promise) -> dict[str, Any]:
    """``p`` as a JSON document; ``scenario`` and ``plan`` have the forms that FORMAT.md describes."""
    return {
        "format": 1,
        "status": p.status,
        "form": p.order.form,
        "glaze": p.order.glaze,
        "qty": p.order.qty,
        "due": p.due,
        "done": p.done,
        "date": p.date or None,
        "parts": [{"minute": t, "pieces": n} for t, n in p.parts],
        "added_days": p.added_days,
        "most_days": p.most_days,
        "earlier": [_earlier(x) for x in p.earlier],
        "reasons": [_reason(x) for x in p.reasons],
        "options": [_option(x) for x in p.options],
        "measured": p.measured,
        "notes": list(p.notes),
        "order": p.order.id,
        "scenario": scenario_to_json(p.scenario),
        "plan": None if p.plan is None else plan_to_json(p.plan),
        "diagnostics": {"seconds": p.seconds, "tries": p.tries},
    }


def _earlier(x: EarlierDay) -> dict[str, Any]:
    later = [
        {
            "order": y.order,
            "late_before": y.late_before,
            "late_after": y.late_after,
            "pieces": y.pieces,
            "minutes": y.minutes,
        }
        for y in x.later
    ]
    return {"due": x.due, "done": x.done, "cost": x.cost, "later": later, "text": x.text}


def _reason(x: Reason) -> dict[str, Any]:
    return {"code": x.code, "things": x.things, "minutes": x.minutes, "counts": x.counts, "text": x.text}


def _option(x: Option) -> dict[str, Any]:
    return {
        "code": x.code,
        "things": x.things,
        "counts": x.counts,
        "minutes": x.minutes,
        "done": x.done,
        "sooner_min": x.sooner_min,
        "sooner_days": x.sooner_days,
        "text": x.text,
    }


__all__ = ["EarlierDay", "Later", "Option", "Promise", "Setback", "as_json"]
