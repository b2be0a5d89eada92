"""The turns of a form's moulds through the horizon: pressed, taken out, at rest, pressed again, as early as can be.

A node says that a mould is empty and may be pressed in ``bucket`` from minute ``at`` on. A mould pressed there is
taken out in some bucket; from the earliest minute of that it rests and comes to another node. Every minute is a lower
bound of the true one (by induction along a mould's turns: what is pressed later is not taken out earlier), so every
mould of a valid plan goes one path (R02, R03).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from planner.model.proof.green import windows
from planner.model.proof.time import Hands, Node
from planner.scenario import Form


@dataclass(frozen=True)
class Turn:
    """Pressed at ``node`` by minute ``by``, taken out in bucket ``release``, out at ``out`` at the earliest.

    ``after``: where the mould may be pressed again; None: nowhere inside the horizon.
    """

    node: Node
    release: int
    covered: bool
    by: int
    out: int
    after: Node | None


class Turns:
    """Builds what can be reached by the moulds of one form."""

    def __init__(self, hands: Hands, form: Form) -> None:
        self._hands, self._form = hands, form
        self._pressing = form.press.minutes(1)

    def node(self, ready: int, bucket: int = 0) -> Node | None:
        """The first node for a mould that is ready at ``ready``, in ``bucket`` or later."""
        for number in range(bucket, len(self._hands.buckets)):
            end = self._hands.end_in("press", ready, self._pressing, number)
            if end is not None:
                return Node(number, end - self._pressing)
        return None

    def explored(self, starts: Iterable[Node]) -> tuple[list[Turn], dict[Node, Node]]:
        """All turns from ``starts`` on, and where a mould comes that is not pressed in a node's bucket."""
        todo = list(dict.fromkeys(starts))
        seen = set(todo)
        turns: list[Turn] = []
        idle: dict[Node, Node] = {}
        while todo:
            node = todo.pop()
            made = self._turns(node)
            turns += made
            following = self.node(0, node.bucket + 1)
            if following is not None:
                idle[node] = following
            for n in (following, *(t.after for t in made)):
                if n is not None and n not in seen:
                    seen.add(n)
                    todo.append(n)
        return turns, idle

    def _turns(self, node: Node) -> list[Turn]:
        form, hands = self._form, self._hands
        first = hands.end_in("press", node.at, self._pressing, node.bucket)
        latest = hands.last_end("press", self._pressing, node.bucket)
        if first is None or latest is None:
            return []
        out = []
        for covered, window in enumerate(windows(form.release_after, form.release_after_covered)):
            for r in range(node.bucket, len(hands.buckets)):
                if hands.buckets[r].a > latest + window.hi:
                    break
                end = hands.end_in("release", first + window.lo, form.release.minutes(1), r)
                if end is not None and end <= latest + window.hi:
                    last = hands.last_end("release", form.release.minutes(1), r)
                    assert last is not None
                    by = min(latest, last - form.release.minutes(1) - window.lo)
                    out.append(Turn(node, r, bool(covered), by, end, self.node(end + form.mould_rest, node.bucket)))
        return out
