"""Whether a plan is valid, told without knowing how it was made.

:func:`check` never raises: whatever is wrong with a plan becomes a :class:`Violation`.
"""

from __future__ import annotations

from planner.checks.attended import attended_work
from planner.checks.boards import boards
from planner.checks.carried import work_in_progress
from planner.checks.casts import cast
from planner.checks.counts import conservation
from planner.checks.kilns import firing, kiln_load
from planner.checks.press import press
from planner.checks.reckoning import reckoning, without_tasks
from planner.checks.shape import misshapen
from planner.checks.violation import Violation
from planner.checks.waits import dry, release, steps
from planner.checks.ware import finish, glaze
from planner.facts import Facts
from planner.plan import Plan
from planner.scenario import Scenario

__all__ = ["RULES", "Violation", "check"]

RULES = (  # R01 to R14, in order
    attended_work,
    press,
    release,
    steps,
    boards,
    dry,
    firing,
    kiln_load,
    glaze,
    finish,
    cast,
    conservation,
    work_in_progress,
    reckoning,
)


def check(scenario: Scenario, plan: Plan) -> list[Violation]:
    """Every rule that ``plan`` breaks, in the order of the rules; empty if it is valid.

    A plan whose records hold values of the wrong kind is only told so. A plan that says "infeasible" or "unknown"
    has nothing to check but that it is empty: look at its ``status`` before you take it for a plan.
    """
    wrong = list(misshapen(plan))
    if wrong:
        return wrong
    if plan.status in ("infeasible", "unknown"):
        return list(without_tasks(plan))
    facts = Facts(scenario, plan)
    return [violation for rule in RULES for violation in rule(facts)]
