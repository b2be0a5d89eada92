"""What holds a studio up, what relief would be worth, and which facts cannot hold together."""

from planner.relief.conflicts import conflict
from planner.relief.facts_held import Fact
from planner.relief.late import LateChain, late_chains
from planner.relief.worth import Relief, relief

__all__ = ["Fact", "LateChain", "Relief", "conflict", "late_chains", "relief"]
