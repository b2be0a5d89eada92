"""A scenario with what the studio must know of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

from planner.faults import Refused
from planner.scenario import Scenario

Thing = TypeVar("Thing")


@dataclass(frozen=True)
class Made:
    """``scenario`` of a studio at ``start`` (UTC, its minute 0), built on the record up to ``record_seq``.

    ``names``: what people call the things, by id. ``left_out``: ids that could not be put in and why (a code; "far"
    orders and "no_chance" jobs among them). ``asks``: ware past its time, of which somebody should say whether it is
    still good; it is planned as if it were, at the next chance. ``from_stock``: firsts on the shelf that were counted
    off an order line. ``firsts``: good pieces that each order still lacks, without those allowed for losses.
    ``margins``: minutes by which an order is due earlier here than it was promised, to be surer of its day.
    """

    scenario: Scenario
    names: dict[str, str]
    record_seq: int
    start: dt.datetime
    left_out: dict[str, str] = field(default_factory=dict)
    asks: tuple[str, ...] = ()
    from_stock: dict[str, int] = field(default_factory=dict)
    firsts: dict[str, int] = field(default_factory=dict)
    margins: dict[str, int] = field(default_factory=dict)


@dataclass
class Notes:
    """What is noted down while a scenario is made."""

    names: dict[str, str] = field(default_factory=dict)
    left_out: dict[str, str] = field(default_factory=dict)
    asks: list[str] = field(default_factory=list)
    firsts: dict[str, int] = field(default_factory=dict)
    margins: dict[str, int] = field(default_factory=dict)

    def name(self, thing: str, name: str) -> str | None:
        """Note what people call ``thing``; the name as the planner takes it."""
        told = "".join(c if c.isprintable() else " " for c in name).strip()[:200]
        if told:
            self.names[thing] = told
        return told or None

    def built(self, thing: str, make: Callable[[], Thing]) -> Thing | None:
        """What ``make`` builds, or None with a note if the planner would refuse it: one odd row stops no plan."""
        try:
            return make()
        except Refused as refused:
            self.left_out[thing] = f"refused: {refused.faults[0]}"
            return None

    def leave_out(self, thing: str, why: str) -> None:
        self.left_out[thing] = why
