"""The order that is asked about, put beside the present ones."""

from __future__ import annotations

from dataclasses import replace

from planner.faults import Fault, Refused, meant
from planner.plan import Plan
from planner.scenario import Order, Scenario


def must_be_known(scenario: Scenario, form: str, glaze: str) -> None:
    """Raise :class:`Refused` unless the studio has that form and that glaze."""
    faults = []
    for key, name, known in (("form", form, scenario.form), ("glaze", glaze, scenario.glaze)):
        if name not in known:
            faults.append(Fault(f"/{key}", f'there is no {key} "{name}"', meant(name, known)))
    if faults:
        raise Refused(faults)


def order_of(scenario: Scenario, form: str, glaze: str, qty: int, weight: int, due: int) -> Order:
    """The order asked about, with an id that no present one has."""
    name, n = "asked", 1
    while name in scenario.order:
        n += 1
        name = f"asked-{n}"
    return Order(name, form, glaze, qty, due, weight)


def with_order(scenario: Scenario, order: Order, previous: Plan | None) -> Scenario:
    """``scenario`` with one more order, and ``previous`` as the plan before; pins stay where that plan has them."""
    known = previous.task if previous is not None else {}
    pins = tuple(p for p in scenario.pins if p in known)
    return replace(scenario, orders=(*scenario.orders, order), previous=previous, pins=pins)
