"""Pieces to start where each is lost by itself: figures computed with scipy.stats.binom (SciPy, BSD licence)."""

from __future__ import annotations

# need, share that comes through, sureness wanted; the fewest to start, the chance with them, with one less
STARTS = (
    (12, 0.90, 0.90, 15, 0.94444, 0.84164),
    (24, 0.90, 0.95, 30, 0.97417, 0.93628),
    (24, 0.85, 0.90, 31, 0.91780, 0.84742),
    (48, 0.90, 0.95, 58, 0.97271, 0.94523),
    (100, 0.90, 0.95, 117, 0.95693, 0.92978),
    (100, 0.80, 0.95, 135, 0.96296, 0.94849),
    (6, 0.80, 0.99, 12, 0.99610, 0.98835),
)
