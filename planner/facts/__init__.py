"""A plan with its references resolved: what each task is for, what each source holds and from when.

Nothing here judges. A reference that leads nowhere, or to a task of another kind, becomes ``None``, so that whoever
reads these tables can go on; the rules in :mod:`planner.checks` say what is wrong.
"""

from planner.facts.records import NOW, Glost, Green, Kilnful, Made, Pieces, SetUp, Use, Ware
from planner.facts.tables import Facts

__all__ = ["NOW", "Facts", "Glost", "Green", "Kilnful", "Made", "Pieces", "SetUp", "Use", "Ware"]
