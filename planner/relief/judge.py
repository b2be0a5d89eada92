"""The process that says whether the must-do core of a scenario can be done: ``python -m planner.relief.judge``.

One line in: ``{"scenario", "seconds"}``; one line out: ``{"verdict": "feasible" | "infeasible" | "unknown"}``.
"""

from __future__ import annotations

import json
import os
import sys

from planner.core import must
from planner.jsonio import scenario_from_json


def main() -> int:
    from planner.model.core_model import build
    from planner.model.running import run

    out = os.fdopen(os.dup(1), "w")
    os.dup2(2, 1)  # whatever a native library prints must not stand among the answers
    names = {"OPTIMAL": "feasible", "FEASIBLE": "feasible", "INFEASIBLE": "infeasible"}
    for line in sys.stdin:
        asked = json.loads(line)
        scenario = scenario_from_json(asked["scenario"])
        model = build(scenario, must(scenario), spoil_all=True).model
        status, solver = run(model, float(asked["seconds"]), workers=1)
        out.write(json.dumps({"verdict": names.get(solver.status_name(status), "unknown")}) + "\n")
        out.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
