"""One relaxation of the planner's rules: every valid plan is a solution of it, at no higher a cost.

Left out, all of which can only make plans cheaper: who does what beyond labour by sets of people, the order of tasks
inside a bucket, whole minutes and whole batches, covers of released ware, the waits between pours that share a frame,
loads known not to fit by several counts, and the costs ``move`` and ``pin``, which are never negative.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass

from planner.model.proof.firing import Firing
from planner.model.proof.frame import Frame
from planner.model.proof.mip import Mip
from planner.model.proof.orders import Orders
from planner.model.proof.pressing import Pressing
from planner.model.proof.time import Hands, buckets
from planner.scenario import Scenario


@dataclass(frozen=True)
class Level:
    """How closely a relaxation looks.

    ``bridge``: free times up to so many minutes do not part buckets; ``most``: buckets at most; ``grain``: minutes to
    which a kiln's times are rounded down; ``reach``: draws of a firing that are told apart; ``fine``: whole shelves of
    kilns, and whose turn it is for ware left over, are counted as well.
    """

    bridge: int
    most: int
    grain: int
    reach: int
    fine: bool


class Relaxation:
    """The program of one level, ready to be solved."""

    def __init__(self, scenario: Scenario, level: Level) -> None:
        hands = Hands(scenario, buckets(scenario, bridge=level.bridge, most=level.most))
        self.mip = Mip()
        self.frame = frame = Frame(scenario, hands, self.mip, fine=level.fine)
        for job in scenario.jobs:
            able = hands.able("job") if job.person is None else frozenset({job.person})
            frame.spread("job", job.minutes, (job.window.lo, job.window.hi), [(1.0, frame.one)], able)
        self.pressing = Pressing(frame)
        self.firing = Firing(frame, self.pressing, grain=level.grain, reach=level.reach)
        self.orders = Orders(frame, self.pressing, self.firing)
        frame.close()

    def fractional(self, seconds: float, stop: threading.Event | None = None) -> float | None:
        """What choices in fractions would cost at least; None if that is not known within ``seconds``."""
        return self.mip.fractional(seconds, stop)
