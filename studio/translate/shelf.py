"""Finished pots on the shelf: which stand there for which open line, and which are nobody's."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from studio.models import OrderLine
from studio.record.state import State, Tally


@dataclass(frozen=True)
class Share:
    """What stands on the shelf for one line: firsts sorted for it, seconds that its customer takes, and firsts out of
    stock; ``missing`` pieces are neither sent nor there."""

    firsts: int = 0
    seconds: int = 0
    stock: int = 0
    missing: int = 0

    @property
    def ready(self) -> int:
        return self.firsts + self.seconds + self.stock


@dataclass(frozen=True)
class Shares:
    """``lines``: the share of each line. ``firsts`` and ``seconds``: by "form/glaze", what is nobody's."""

    lines: dict[str, Share]
    firsts: dict[str, int]
    seconds: dict[str, int]


def kind_of(line: OrderLine) -> str:
    """The form and glaze of a line, as the record names them together."""
    return f"{line.form.public_id}/{line.glaze.public_id}"


def shares_of(state: State, lines: Iterable[OrderLine]) -> Shares:
    """Who has what of the shelf, the first of ``lines`` (all open ones) having the first claim; never more than stands
    there.

    First come the pots that lines have for themselves. So what was sorted for an order that was cancelled, or was too
    many for one, is free for others, as are the seconds that its customer would have taken.
    """
    lines, firsts, seconds = list(lines), dict(state.shelf), dict(state.seconds)
    own = {x.public_id: _own(x, state.lines.get(x.public_id, Tally()), firsts, seconds) for x in lines}
    for line in lines:
        share, kind = own[line.public_id], kind_of(line)
        stock = min(share.missing, firsts.get(kind, 0))
        if stock:
            firsts[kind] -= stock
            own[line.public_id] = Share(share.firsts, share.seconds, stock, share.missing - stock)
    return Shares(own, firsts, seconds)


def _own(line: OrderLine, tally: Tally, firsts: dict[str, int], seconds: dict[str, int]) -> Share:
    """What ``line`` has for itself, taken off ``firsts`` and ``seconds``: seconds first, as its customer said."""
    kind, open_ = kind_of(line), max(0, line.qty - tally.shipped)
    second = max(0, min(tally.taken - tally.taken_sent, open_, seconds.get(kind, 0)))
    sorted_ = tally.firsts - (tally.shipped - tally.taken_sent)
    first = max(0, min(sorted_, open_ - second, firsts.get(kind, 0)))
    for pots, n in ((firsts, first), (seconds, second)):
        if n:
            pots[kind] -= n
    return Share(first, second, 0, open_ - first - second)
