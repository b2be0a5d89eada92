"""How sure a plan is when durations vary and pieces are lost."""

from planner.robust.learn import Occasion, counted_losses, learned_range
from planner.robust.spread import Losses, Range, Spread
from planner.robust.sure import Sureness, sureness
from planner.robust.tail import at_least, starts_needed

__all__ = [
    "Losses",
    "Occasion",
    "Range",
    "Spread",
    "Sureness",
    "at_least",
    "counted_losses",
    "learned_range",
    "starts_needed",
    "sureness",
]
