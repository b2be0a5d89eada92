"""What a plan before will still take once it is laid in again: others leave that alone while they fill the days."""

from __future__ import annotations

from bisect import insort
from collections import Counter
from collections.abc import Iterable
from typing import Any, TypeVar

from planner.dispatch.calendar import NEVER
from planner.dispatch.facts import DAY, Facts
from planner.plan import Part

T = TypeVar("T", bound=int | tuple[Any, ...])
Mould = tuple[int, int, str]  # ready, -uses left, id
Change = tuple[int, int]  # minute, pieces
Press = tuple[int, int, int]  # start, pieces, minute from which the moulds are ready again


class ToCome:
    """The things of a plan before that are still to be laid in.

    ``pressed`` by form, ``glazed`` and ``finished`` by order: pieces. ``loads`` by ware: pieces that are spoken for.
    ``bisqued`` by form, ``fired`` by order: when pieces come out of a kiln (more than 0) and are taken on (less), since
    they are taken from whatever is there. With nothing to come all of it is empty.
    """

    __slots__ = ("bisqued", "facts", "finished", "fired", "glazed", "kilns", "loads", "pressed", "presses", "tools")

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.pressed = [0] * len(facts.forms)
        self.glazed = [0] * len(facts.orders)
        self.finished = [0] * len(facts.orders)
        self.loads: Counter[str] = Counter()
        self.bisqued: list[list[Change]] = [[] for _ in facts.forms]
        self.fired: list[list[Change]] = [[] for _ in facts.orders]
        self.presses: list[list[Press]] = [[] for _ in facts.forms]
        self.tools: dict[int, list[tuple[int, str, bool]]] = {}  # by station: start, tool, whether it is set up then
        self.kilns: list[list[int]] = [[] for _ in facts.kilns]  # starts of loads

    # --- what comes, and what has come -----------------------------------------------------------------------------

    def press(self, form: int, count: int, sign: int) -> None:
        """Pieces that will be pressed (``sign`` 1), or have been (-1)."""
        self.pressed[form] += sign * count

    def batch(self, form: int, press: Press, station: int, setup: bool, sign: int) -> None:
        """The moulds and the tool of a batch that will be pressed, or has been."""
        note(self.presses[form], press, sign)
        note(self.tools.setdefault(station, []), (press[0], self.facts.forms[form].tool, setup), sign)

    def firing(self, kiln: int, start: int, pieces: tuple[Part, ...], sign: int) -> None:
        """A firing that will be loaded, or has been."""
        for part in pieces:
            self.loads[part.source] += sign * part.count
        note(self.kilns[kiln], start, sign)

    def lot(self, order: int, count: int, sign: int) -> None:
        """Pieces that will be glazed, or have been."""
        self.glazed[order] += sign * count

    def finish(self, order: int, count: int, sign: int) -> None:
        """Pieces that will be sorted and packed, or have been."""
        self.finished[order] += sign * count

    # --- what is left for others -----------------------------------------------------------------------------------

    def kiln_until(self, kiln: int) -> int:
        """The minute by which the kiln must be drawn again."""
        return self.kilns[kiln][0] if self.kilns[kiln] else NEVER

    def spare_moulds(self, form: int, start: int, line: list[Mould], ready: int) -> int:
        """How many of the ``ready`` moulds of a form nobody misses who is to press before they are ready again.

        ``line``: the form's moulds by the minute from which each may be filled.
        """
        presses = self.presses[form]
        if not presses or not ready:
            return ready
        f = self.facts.forms[form]
        back = start + min(f.release_after.hi, f.release_after.lo + DAY) + f.mould_rest + DAY // 2
        spare, taken = ready, 0
        for n, (at, count, _) in enumerate(presses):
            if at >= back:
                break
            taken += count
            there = sum(m[0] <= at for m in line) + sum(c for _, c, again in presses[:n] if again <= at)
            if at >= start:
                spare = min(spare, there - taken)
        return max(0, spare)

    def may_mount(self, station: int, start: int, tool: str) -> bool:
        """Whether the next press there finds its tool, or has the minutes to set it up, after one with ``tool``."""
        for at, wanted, setup in self.tools.get(station, ()):
            if at >= start:
                return setup or wanted == tool
        return True


def note(line: list[T], row: T, sign: int) -> None:
    """Put ``row`` into the sorted ``line`` (``sign`` 1), or take it out again (-1)."""
    if sign > 0:
        insort(line, row)
    else:
        line.remove(row)


def spare_pieces(line: list[Change], stocks: Iterable[Change], have: int) -> int:
    """How many of ``have`` pieces nobody misses who is to take some on; ``stocks``: all there are, and when.

    ``line`` is a row of :attr:`ToCome.bisqued` or :attr:`ToCome.fired`.
    """
    if not any(n < 0 for _, n in line):
        return have
    there, spare = 0, have
    for _, n in sorted([*line, *stocks], key=lambda c: (c[0], -c[1])):
        there += n
        if n < 0:
            spare = min(spare, there)
    return max(0, spare)
