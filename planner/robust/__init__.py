"""How sure a plan is when durations vary and pieces are lost."""

from planner.robust.spread import Losses, Range, Spread
from planner.robust.sure import Sureness, sureness
from planner.robust.tail import at_least, starts_needed

__all__ = ["Losses", "Range", "Spread", "Sureness", "at_least", "starts_needed", "sureness"]
