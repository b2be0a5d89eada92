"""Exact chances of having enough pieces when each is lost by itself."""

from __future__ import annotations

from planner.craft.chances import binomial_tail

MOST = 1_000_000


def at_least(pieces: int, share: float, need: int) -> float:
    """The chance that of ``pieces``, each good with the chance ``share``, at least ``need`` are good."""
    return binomial_tail(need, pieces, share)


def starts_needed(need: int, share: float, sure: float) -> int:
    """The fewest pieces to start of which at least ``need`` are good with the chance ``sure``, each with ``share``.

    *Example.* For 12 firsts where nine in ten come through, 15 have to be pressed to be sure of them 9 times in 10:
    with 15 the chance is 0.944, with 14 it is 0.842.
    """
    if need <= 0:
        return 0
    if not 0 < share <= 1 or not 0 < sure < 1:
        raise ValueError(f"a share of {share} and a sureness of {sure}: both lie between 0 and 1")
    low, high = need, need
    while at_least(high, share, need) < sure:
        low, high = high + 1, 2 * high
        if high > MOST:
            raise ValueError(f"more than {MOST} pieces would have to be started for {need}")
    while low < high:
        middle = (low + high) // 2
        if at_least(middle, share, need) >= sure:
            high = middle
        else:
            low = middle + 1
    return low
