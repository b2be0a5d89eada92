"""A kiln load as it grows: how many more pieces of a form still fit (R08, exact)."""

from __future__ import annotations

from planner.dispatch.facts import StackRule


class Stack:
    """The pieces put into one load so far."""

    __slots__ = ("counts", "rule", "units")

    def __init__(self, rule: StackRule) -> None:
        self.rule = rule
        self.units = [0] * len(rule.step)  # by clearance class, tallest first
        self.counts: dict[int, int] = {}

    def room(self, form: int, want: int) -> int:
        """The most pieces of ``form`` up to ``want`` that can be added."""
        rule = self.rule
        if not rule.unit[form]:
            return 0
        for limit in rule.limits:
            want = self._below_limit(limit, form, want)
        if want <= 0:
            return 0
        if self._fits(form, want):
            return want
        low, high = 0, want  # low fits, high does not
        while high - low > 1:
            mid = (low + high) // 2
            if self._fits(form, mid):
                low = mid
            else:
                high = mid
        return low

    def add(self, form: int, count: int) -> None:
        self.units[self.rule.rank[form]] += count * self.rule.unit[form]
        self.counts[form] = self.counts.get(form, 0) + count

    def _fits(self, form: int, count: int) -> bool:
        rule = self.rule
        scale, rank, extra = rule.scale, rule.rank[form], count * rule.unit[form]
        sum_units = height = shelves = 0
        for k, u in enumerate(self.units):
            sum_units += u + extra if k == rank else u
            shelves = -(-sum_units // scale)
            height += shelves * rule.step[k]
        return height <= rule.stack and shelves <= rule.shelves

    def _below_limit(self, limit: list[tuple[int, int]], form: int, want: int) -> int:
        mine = 0
        for f, n in limit:
            if f == form:
                mine = n
            elif self.counts.get(f, 0) < n:
                return want
        return min(want, mine - 1 - self.counts.get(form, 0)) if mine else want
