"""The bridge: a studio at an instant as the planner's scenario, and its plans as the studio's rows.

Nothing else maps the two worlds. The planner's formats, checks and costs are used here, never its solver.
"""

from studio.translate.made import Made
from studio.translate.question import Question
from studio.translate.scenario import question_at, scenario_at

__all__ = ["Made", "Question", "question_at", "scenario_at"]
