"""What one neighbourhood may change."""

from __future__ import annotations

from dataclasses import dataclass

from planner.scenario import Span

NONE: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Freed:
    """The things whose tasks may move inside ``window``, and what else may change about them.

    With ``contents``, freed firings may change their pieces and program or be dropped, freed lots their sources and
    count, finishes their count; freed batches that the plan presses may change their count or be dropped. ``slots``
    are things that may be added: batches of a form, firings of a (kiln, stage), lots of an order. What an order has in
    a firing that is new to it may be finished in ``finishes_each`` tasks.
    """

    window: Span
    batches: frozenset[str] = NONE
    firings: frozenset[str] = NONE
    lots: frozenset[str] = NONE
    finishes: frozenset[str] = NONE
    casts: frozenset[str] = NONE
    jobs: frozenset[str] = NONE
    contents: bool = False
    new_batches: tuple[str, ...] = ()
    new_firings: tuple[tuple[str, str], ...] = ()
    new_lots: tuple[str, ...] = ()
    finishes_each: int = 1
    label: str = ""

    @property
    def size(self) -> int:
        """Number of freed things."""
        new = len(self.new_batches) + len(self.new_firings) + len(self.new_lots)
        things = (self.batches, self.firings, self.lots, self.finishes, self.casts, self.jobs)
        return sum(map(len, things)) + new
