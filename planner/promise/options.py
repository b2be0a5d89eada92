"""What would bring the order sooner, each thing measured by looking for plans again with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from planner.facts import Facts
from planner.promise.search import Found
from planner.relief import easings
from planner.relief.chains import Link, chain_of, waits_of
from planner.relief.easings import Easing
from planner.scenario import Form, Order, Scenario

RACKS = ("damp", "drying", "glazed")


def easings_for(scenario: Scenario, order: Order, found: Found | None) -> list[Easing]:
    """What could be eased for ``order``, what its last pieces wait for longest first.

    ``found`` is the plan that witnesses the date; without one, everything that could help at all.
    """
    form = scenario.form[order.form]
    chain: tuple[Link, ...] = ()
    if found is not None:
        chain = chain_of(Facts(_with(scenario, order), found.plan), order)
    waits = waits_of(chain)
    weight = {"closed": waits.get("closed", 0) // 2} | {k: v for k, v in waits.items() if k != "closed"}
    weight["hands"] = weight.get("hands", 0) + weight["closed"]
    weight["kiln"] = weight.get("kiln", 0) + weight.get("load", 0)
    offers = list(_offers(scenario, form, chain, found))
    return sorted(offers, key=lambda e: -weight.get(e.cause, 0))


def _with(scenario: Scenario, order: Order) -> Scenario:
    return replace(scenario, orders=(*scenario.orders, order))


def _offers(s: Scenario, form: Form, chain: tuple[Link, ...], found: Found | None) -> Iterator[Easing]:
    last = s.horizon if found is None else found.done
    for n in (1, 2, 4):
        yield easings.poured_mould(s, form, n)
    for p in s.people:
        days = [d for d in easings.working_days(s, p) if d * 1440 < last]
        evening = next((e for d in days if (e := easings.evening_easing(s, p, d)) is not None), None)
        if evening is not None:
            yield evening
    yield from (e for e in easings.morning_easings(s) if e.minutes["from"] < last)
    waited = [x for x in chain if x.code in ("kiln", "load", "closed") and x.kind == "load"]
    first = min((x.start for x in waited), default=0)
    yield from easings.kiln_easings(s, first)
    for rack in RACKS:
        yield easings.boards(rack)
