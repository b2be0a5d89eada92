"""For each late order, the chain that makes it late, in one or two sentences."""

from __future__ import annotations

from dataclasses import dataclass

from planner.facts import Facts
from planner.plan import Plan
from planner.reasons.late import late_reasons
from planner.relief.chains import Link, chain_of, waits_of
from planner.relief.words import chain_text
from planner.scenario import Scenario


@dataclass(frozen=True)
class LateChain:
    """Why ``order`` is late: its ``code`` as in the plan's reasons, the way of its last finished pieces, what they
    waited for in minutes, and the text. ``links`` is empty where none of it is finished."""

    order: str
    code: str
    late_min: int
    links: tuple[Link, ...]
    waits: dict[str, int]
    text: str


def late_chains(scenario: Scenario, plan: Plan) -> tuple[LateChain, ...]:
    """The chains of the late orders, in the scenario's order."""
    facts = Facts(scenario, plan)
    rows = []
    for reason in late_reasons(facts):
        order = scenario.order[reason.things["order"]]
        links = chain_of(facts, order)
        parts = [reason.text]
        if links and reason.code not in ("too_soon", "not_finished"):
            parts = [f"Order {order.id}: {reason.counts['late']} of {order.qty} late.", chain_text(facts, order)]
        rows.append(
            LateChain(order.id, reason.code, reason.minutes["late"], links, waits_of(links), " ".join(parts))
        )
    return tuple(rows)
