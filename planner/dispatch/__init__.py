"""The constructive first plan: plain Python, valid by every rule, quick enough to be the decoder of a search."""

from __future__ import annotations

from planner.dispatch.first import first_plan
from planner.dispatch.habits import Habits
from planner.dispatch.run import dispatch

__all__ = ["Habits", "dispatch", "first_plan"]
