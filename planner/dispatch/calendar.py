"""Free time of a person or a station, and ware boards on a rack, kept small and quick to ask."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable

NEVER = 1 << 40


class Gaps:
    """The free minutes of one person or station, as sorted disjoint half-open gaps ``[a, b)``."""

    __slots__ = ("a", "b")

    def __init__(self, a: list[int], b: list[int]) -> None:
        self.a = a
        self.b = b

    @classmethod
    def joined(cls, spans: Iterable[tuple[int, int]], end: int) -> Gaps:
        """The union of ``spans`` inside ``[0, end)``; touching spans join."""
        a: list[int] = []
        b: list[int] = []
        for lo, hi in sorted(spans):
            lo, hi = max(lo, 0), min(hi, end)
            if hi <= lo:
                continue
            if b and lo <= b[-1]:
                b[-1] = max(b[-1], hi)
            else:
                a.append(lo)
                b.append(hi)
        return cls(a, b)

    def copy(self) -> Gaps:
        return Gaps(self.a[:], self.b[:])

    def find(self, lo: int, minutes: int, last: int) -> int:
        """The earliest start >= ``lo`` and <= ``last`` with ``minutes`` free, or -1."""
        a, b = self.a, self.b
        i = bisect_right(a, lo) - 1
        if i >= 0 and b[i] - lo >= minutes:
            return lo if lo <= last else -1
        i += 1
        n = len(a)
        while i < n:
            s = a[i]
            if s > last:
                return -1
            if b[i] - s >= minutes:
                return s
            i += 1
        return -1

    def find_last(self, lo: int, minutes: int, end: int) -> int:
        """The latest start >= ``lo`` with ``minutes`` free that ends by ``end``, or -1."""
        a, b = self.a, self.b
        i = bisect_left(a, end) - 1
        while i >= 0:
            e = b[i] if b[i] < end else end
            s = e - minutes
            if s < lo:
                return -1
            if s >= a[i]:
                return s
            i -= 1
        return -1

    def end_of(self, minute: int) -> int:
        """The end of the gap that holds ``minute``; ``minute`` itself where it is not free."""
        i = bisect_right(self.a, minute) - 1
        return max(self.b[i], minute) if i >= 0 else minute

    def holds(self, start: int, end: int) -> bool:
        i = bisect_right(self.a, start) - 1
        return i >= 0 and self.b[i] >= end

    def cut(self, start: int, end: int) -> None:
        """Take ``[start, end)`` away, wherever it was free."""
        a, b = self.a, self.b
        i = bisect_right(b, start)
        while i < len(a) and a[i] < end:
            lo, hi = a[i], b[i]
            if lo < start:
                b[i] = start
                if hi > end:
                    a.insert(i + 1, end)
                    b.insert(i + 1, hi)
                    return
                i += 1
            elif hi > end:
                a[i] = end
                return
            else:
                del a[i]
                del b[i]

    def give(self, start: int, end: int, base: Gaps) -> None:
        """Make free again what ``base`` has of ``[start, end)``."""
        spans = [(max(a, start), min(b, end)) for a, b in zip(base.a, base.b, strict=True) if a < end and start < b]
        whole = Gaps.joined([*zip(self.a, self.b, strict=True), *spans], 1 << 40)
        self.a, self.b = whole.a, whole.b


class Rack:
    """Ware boards standing on one rack over time: ``level[i]`` boards from ``at[i]`` to ``at[i + 1]``."""

    __slots__ = ("at", "level", "size")

    def __init__(self, size: int, at: list[int] | None = None, level: list[int] | None = None) -> None:
        self.size = size
        self.at = [0] if at is None else at
        self.level = [0] if level is None else level

    def copy(self) -> Rack:
        return Rack(self.size, self.at[:], self.level[:])

    def room(self, start: int, end: int = NEVER) -> int:
        """Boards that can be added over all of ``[start, end)``; 0 or less where it stands full or over-full."""
        i = bisect_right(self.at, start) - 1
        if end >= NEVER:
            return self.size - max(self.level[i:])
        return self.size - max(self.level[i : bisect_left(self.at, end, i + 1)])

    def add(self, boards: int, start: int, end: int = NEVER) -> None:
        """Add ``boards`` (negative: take away) over ``[start, end)``."""
        if not boards or end <= start:
            return
        at, level = self.at, self.level
        i = self._mark(start)
        j = len(at) if end >= NEVER else self._mark(end)
        for k in range(i, j):
            level[k] += boards

    def _mark(self, minute: int) -> int:
        i = bisect_right(self.at, minute) - 1
        if self.at[i] == minute:
            return i
        self.at.insert(i + 1, minute)
        self.level.insert(i + 1, self.level[i])
        return i + 1
