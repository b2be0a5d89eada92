"""Exact chances that several subjects share: beta, binomial, hypergeometric and beta-binomial."""

from __future__ import annotations

from math import exp, inf, lgamma, log, log1p

TINY = 1e-300


def log_beta(a: float, b: float) -> float:
    """The logarithm of the beta function B(a, b), for a and b above 0."""
    return lgamma(a) + lgamma(b) - lgamma(a + b)


def log_ways(n: int, k: int) -> float:
    """The logarithm of the number of ways to choose ``k`` of ``n``; minus infinity where there is none."""
    if not 0 <= k <= n:
        return -inf
    return lgamma(n + 1) - lgamma(k + 1) - lgamma(n - k + 1)


def beta_below(x: float, a: float, b: float) -> float:
    """The chance that a Beta(a, b) share is below ``x``: the regularised incomplete beta function.

    By the continued fraction of the incomplete beta function (Abramowitz and Stegun 26.5.8, from memory), summed by
    Lentz's method; good to some 1e-12 for a and b from 0.01 to a million.
    """
    if x <= 0 or x >= 1:
        return float(x >= 1)
    front = exp(a * log(x) + b * log1p(-x) - log_beta(a, b))
    if x < (a + 1) / (a + b + 2):
        return front * _fraction(x, a, b) / a
    return 1.0 - front * _fraction(1 - x, b, a) / b


def _fraction(x: float, a: float, b: float) -> float:
    """Lentz's method, with as many steps as it takes to reach the last digit."""
    c, d = 1.0, 1.0 / _off_zero(1.0 - (a + b) * x / (a + 1.0))
    value = d
    for m in range(1, 20_000):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for step in (even, odd):
            d, c = 1.0 / _off_zero(1.0 + step * d), _off_zero(1.0 + step / c)
            value *= c * d
        if abs(c * d - 1.0) < 1e-15:
            break
    return value


def _off_zero(value: float) -> float:
    return value if abs(value) > TINY else TINY


def beta_quantile(chance: float, a: float, b: float) -> float:
    """The share below which a Beta(a, b) share lies with the ``chance``, from 0 to 1: halved until no digit is left."""
    low, high = 0.0, 1.0
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if beta_below(middle, a, b) < chance:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def binomial_tail(least: int, n: int, share: float) -> float:
    """The chance of at least ``least`` hits in ``n`` tries that hit with ``share`` each, by the incomplete beta."""
    if least <= 0:
        return 1.0
    return beta_below(share, least, n - least + 1) if least <= n else 0.0


def hypergeometric_tail(least: int, pieces: int, faulty: int, drawn: int) -> float:
    """The chance that ``drawn`` of ``pieces``, of which ``faulty`` have the fault, hold at least ``least`` of those.

    Exact sum over the tail (the one-sided test of Fisher's exact kind).
    """
    most = min(faulty, drawn)
    low = max(least, 0, drawn - (pieces - faulty))
    if low <= drawn - (pieces - faulty):
        return 1.0
    whole = log_ways(pieces, drawn)
    terms = (log_ways(faulty, k) + log_ways(pieces - faulty, drawn - k) - whole for k in range(low, most + 1))
    return min(1.0, sum(exp(t) for t in terms))


def beta_binomial(n: int, a: float, b: float, least: int = 0) -> list[float]:
    """The chances of ``least``, … ``n`` hits in ``n`` tries that share one unknown Beta(a, b) share."""
    whole = log_beta(a, b)
    return [exp(log_ways(n, k) + log_beta(k + a, n - k + b) - whole) for k in range(least, n + 1)]


def binomial(n: int, share: float, least: int = 0) -> list[float]:
    """The chances of ``least``, … ``n`` hits in ``n`` tries that hit with ``share`` each."""
    if share <= 0 or share >= 1:
        return [float(k == (n if share >= 1 else 0)) for k in range(least, n + 1)]
    return [exp(log_ways(n, k) + k * log(share) + (n - k) * log1p(-share)) for k in range(least, n + 1)]
