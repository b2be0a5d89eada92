"""A kiln load as it grows: how many more pieces of a form still fit (R08, exact)."""

from __future__ import annotations

from planner.dispatch.facts import StackRule


class Stack:
    """The pieces put into one load so far.

    ``units[k]``: units of class k and taller, ``shelves[k]`` the shelves they need; ``height`` the stack's height.
    """

    __slots__ = ("counts", "height", "rule", "shelves", "shut", "units")

    def __init__(self, rule: StackRule) -> None:
        self.rule = rule
        self.units = [0] * len(rule.step)
        self.shelves = [0] * len(rule.step)
        self.height = 0
        self.counts: dict[int, int] = {}
        self.shut: list[tuple[int, int]] = []  # (class, units) of pieces that no longer fit

    def room(self, form: int, want: int) -> int:
        """The most pieces of ``form`` up to ``want`` that can be added."""
        rule = self.rule
        unit, rank = rule.unit[form], rule.rank[form]
        if not unit:
            return 0
        for r, u in self.shut:  # what is as tall and as wide does not fit either
            if rank <= r and unit >= u:
                return 0
        if rule.limits:
            for limit in rule.limits:
                want = self._below_limit(limit, form, want)
            if want <= 0:
                return 0
        if self._fits(rank, want * unit):
            return want
        low, high = 0, want  # low fits, high does not
        while high - low > 1:
            mid = (low + high) // 2
            if self._fits(rank, mid * unit):
                low = mid
            else:
                high = mid
        if not low:
            self.shut.append((rank, unit))
        return low

    def add(self, form: int, count: int) -> None:
        rule = self.rule
        extra = count * rule.unit[form]
        for k in range(rule.rank[form], len(self.units)):
            self.units[k] += extra
            shelves = -(-self.units[k] // rule.scale)
            self.height += (shelves - self.shelves[k]) * rule.step[k]
            self.shelves[k] = shelves
        self.counts[form] = self.counts.get(form, 0) + count

    def _fits(self, rank: int, extra: int) -> bool:
        rule = self.rule
        scale, step, units, shelves = rule.scale, rule.step, self.units, self.shelves
        if -(-(units[-1] + extra) // scale) > rule.shelves:
            return False
        height = self.height
        for k in range(rank, len(units)):
            height += (-(-(units[k] + extra) // scale) - shelves[k]) * step[k]
        return height <= rule.stack

    def _below_limit(self, limit: list[tuple[int, int]], form: int, want: int) -> int:
        mine = 0
        for f, n in limit:
            if f == form:
                mine = n
            elif self.counts.get(f, 0) < n:
                return want
        return min(want, mine - 1 - self.counts.get(form, 0)) if mine else want
