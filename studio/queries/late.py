"""The orders that a plan finishes late: by how much, and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from studio.queries.cards import Names
from studio.reasons import Named, why, why_late

if TYPE_CHECKING:
    from studio.queries.plans import Live


@dataclass(frozen=True)
class LateOrder:
    """One line of an order that will be late. ``done`` is None where it is not finished within the plan."""

    line: str
    customer: str
    name: str
    pot: str
    qty: int
    late: int  # pieces
    due: datetime
    done: datetime | None
    late_min: int
    reason: str


def late_orders(live: Live, names: Names) -> tuple[LateOrder, ...]:
    """The late lines of a plan, the latest first."""
    reasons = {r.things["order"]: r for r in live.plan.reasons if "order" in r.things}
    found = []
    for end in live.plan.orders:
        order = live.scenario.order.get(end.id)
        if order is None or end.late_min <= 0:
            continue
        reason = reasons.get(end.id)
        found.append(
            LateOrder(
                line=order.id, customer=names.customer(order.id), name=names.form(order.form),
                pot=names.pot(order.form), qty=order.qty, late=reason.counts.get("late", 0) if reason else 0,
                due=live.when(order.due), done=None if end.reckoned else live.when(end.done), late_min=end.late_min,
                reason=why_late(reason, when=live.when, named=naming(live, names)) if reason else "",
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda x: -x.late_min))


def chain_of(live: Live, line: str) -> tuple[dict[str, Any], ...]:
    """What the last pieces of a line wait for in a plan, the longest first: reasons as JSON; none if none is done."""
    return _chain(live.row.public_id, line)


@lru_cache(maxsize=64)
def _chain(plan: str, line: str) -> tuple[dict[str, Any], ...]:
    from planner.promise.reasons import why_not_earlier
    from studio.queries.plans import read_by_id

    solved, scenario = read_by_id(plan)
    order = scenario.order.get(line)
    if order is None or not any(n.order == line for n in solved.finishes):
        return ()
    return tuple(asdict(r) for r in why_not_earlier(scenario, order, solved))


def other_reasons(live: Live, names: Names) -> tuple[str, ...]:
    """What else the plan has to say: ware and moulds that it gives up."""
    named = naming(live, names)
    return tuple(why(r, when=live.when, named=named) for r in live.plan.reasons if "order" not in r.things)


def naming(live: Live, names: Names) -> Named:
    """How things of a plan are called, by role and id."""
    scenario = live.scenario
    tables: dict[str, Mapping[str, Any]] = {
        "kiln": scenario.kiln, "person": scenario.person, "job": scenario.job, "station": scenario.station,
    }  # fmt: skip

    def named(role: str, thing: str) -> str:
        if role == "form":
            return names.form(thing)
        found = tables.get(role, {}).get(thing)
        return (found.name if found is not None else None) or thing

    return named
