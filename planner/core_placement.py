"""Where the work that must be done anyway stands: the frame that the rest of a plan is built around.

The must-do core of a scenario is: drawing the loads now in the kilns (where that ends inside the horizon), taking
out every batch in a mould and finishing its leather-hard work (or giving it up), the leather-hard work of released
batches, the required and the already poured casts, and the other jobs.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.plan import Batch, CastPlan, Firing, JobPlan, Task


@dataclass(frozen=True)
class CorePlacement:
    """The core at fixed minutes, in the same records as a plan.

    ``tasks``: every task of the core. ``batches``: all ``wip`` batches in a mould or released, spoiled ones too (a
    spoiled one still in its moulds has its release and no steps). ``firings``: the present loads (``now:KILN``), with
    their unload only. ``casts``: required ones, and poured ones that are lifted. ``spoiled``: ids given up, batches
    and poured casts. Boards (R05) must hold for the batches that are kept.
    """

    tasks: tuple[Task, ...]
    batches: tuple[Batch, ...]
    firings: tuple[Firing, ...]
    casts: tuple[CastPlan, ...]
    jobs: tuple[JobPlan, ...]
    spoiled: tuple[str, ...]
