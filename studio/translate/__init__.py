"""The bridge: a studio at an instant as the planner's scenario, and its plans as the studio's rows.

Nothing else maps the two worlds. The planner's formats, checks and costs are used here, never its solver.
"""

from studio.translate.made import Made
from studio.translate.scenario import scenario_at

__all__ = ["Made", "scenario_at"]
