"""Work in progress: pieces at every stage between the mould and the box."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from planner.faults import Fault
from planner.values import Amount, Checked, Count, Id, Ids, Minute, Name, Span, Stage


@dataclass(frozen=True, slots=True)
class InMould(Checked):
    """A pressed batch still in its moulds."""

    id: Id
    form: Id
    count: Count
    moulds: Ids
    pressed: Span
    first: Minute
    covered: bool
    until: Minute | None
    name: Name | None = None
    stage: str = field(default="in_mould", init=False)

    def faults(self) -> Iterator[Fault]:
        if self.count != len(self.moulds):
            wrong = f"{self.count} pieces in {len(self.moulds)} moulds"
            yield Fault("/moulds", wrong, "name as many moulds as there are pieces")
        if not self.pressed.a <= self.first <= self.pressed.b:
            wrong = f"the first piece at {self.first} lies outside the pressing {list(self.pressed)}"
            yield Fault("/first", wrong, "a minute of that span")


@dataclass(frozen=True, slots=True)
class Released(Checked):
    """Leather-hard ware with steps still to do."""

    id: Id
    form: Id
    count: Count
    released: Span
    covered: bool
    steps_done: Amount
    until: Minute | None
    name: Name | None = None
    stage: str = field(default="released", init=False)


@dataclass(frozen=True, slots=True)
class Drying(Checked):
    id: Id
    form: Id
    count: Count
    dry_at: Minute
    name: Name | None = None
    stage: str = field(default="drying", init=False)


@dataclass(frozen=True, slots=True)
class Bisqued(Checked):
    id: Id
    form: Id
    count: Count
    at: Minute
    name: Name | None = None
    stage: str = field(default="bisqued", init=False)


@dataclass(frozen=True, slots=True)
class Glazed(Checked):
    id: Id
    form: Id
    count: Count
    order: Id | None
    glaze: Id
    at: Minute
    name: Name | None = None
    stage: str = field(default="glazed", init=False)


@dataclass(frozen=True, slots=True)
class Fired(Checked):
    """Glost fired and out of the kiln."""

    id: Id
    form: Id
    count: Count
    order: Id | None
    at: Minute
    name: Name | None = None
    stage: str = field(default="fired", init=False)


@dataclass(frozen=True, slots=True)
class InKiln(Checked):
    """Ware in the load that a kiln holds now."""

    id: Id
    form: Id
    count: Count
    kiln: Id
    fired_stage: Stage
    opens: Minute
    order: Id | None
    name: Name | None = None
    stage: str = field(default="firing", init=False)

    def faults(self) -> Iterator[Fault]:
        if self.fired_stage == "bisque" and self.order is not None:
            yield Fault("/order", "ware in a bisque firing has an order", "null; only a glost firing has orders")


Wip = InMould | Released | Drying | Bisqued | Glazed | Fired | InKiln
WIP_STAGES: dict[str, type] = {
    "in_mould": InMould,
    "released": Released,
    "drying": Drying,
    "bisqued": Bisqued,
    "glazed": Glazed,
    "fired": Fired,
    "firing": InKiln,
}
