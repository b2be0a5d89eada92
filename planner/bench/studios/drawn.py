"""Random but lifelike studios in mid-season, by seed: near orders have ware under way, far ones have none yet.

:func:`lifelike` gives a studio of one of four sizes, :func:`strange` one that has been twisted until rare keys and
branches of the format come up, :func:`disturbed` what is left after something went wrong. All work on plain JSON and go
through the reader, so that every scenario is a sound one.
"""

from __future__ import annotations

import random

from planner.bench.studios.disturbances import DISTURBANCES
from planner.bench.studios.lifelike import lifelike_document
from planner.bench.studios.twists import TWISTS
from planner.jsonio import scenario_from_json, scenario_to_json
from planner.scenario import Scenario

DAYS = {"tiny": 10, "small": 14, "medium": 14, "large": 14}


def lifelike(seed: int, size: str = "tiny", days: int | None = None, load: float = 1.0) -> Scenario:
    """A studio of ``size`` over ``days`` days; ``load`` 1.0 is a full but possible season."""
    r = random.Random(f"{seed} {size} {days} {load}")
    return scenario_from_json(lifelike_document(r, size, days or DAYS[size], load))


def strange(seed: int, twists: int | None = None) -> Scenario:
    """A tiny studio over a few days with some of :data:`TWISTS` done to it."""
    r = random.Random(f"strange {seed}")
    document = lifelike_document(r, "tiny", r.choice([2, 3, 5, 8]), r.choice([0.2, 0.5, 1.0]))
    chosen = r.sample(range(len(TWISTS)), twists if twists is not None else r.randint(1, 6))
    for i in sorted(chosen):
        TWISTS[i](r, document)
    return scenario_from_json(document)


def disturbed(scenario: Scenario, seed: int, times: int = 1) -> Scenario:
    """``scenario`` after something has gone wrong, or was changed, ``times`` times."""
    r = random.Random(f"disturbed {seed}")
    document = scenario_to_json(scenario)
    for _ in range(times):
        r.choice(DISTURBANCES)(r, document)
    return scenario_from_json(document)
