"""The habits of a studio that steer the dispatcher: what a search may vary from one plan to the next."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Habits:
    """How the dispatcher chooses; every value gives a valid plan.

    Lists are read by place and may be short: what is missing counts as neutral.
    """

    patience: float = 2.5  # days of slack after which an order's pull has faded to about a third
    lead: float = 1.3  # real lead time over the shortest possible one
    next_kiln: float = 2.5  # days until a kiln comes round again for ware that is left out of a load
    tardy_care: float = 2.0  # weight of keeping an order on time against the lateness of its pieces
    order_pull: tuple[float, ...] = ()  # factor on the pull of each order, by place in the scenario
    due_shift: tuple[int, ...] = ()  # minutes added to an order's due date when pieces are shared out within a form
    late_first: bool = True  # an order that cannot be on time keeps its place in the line of its form
    hands_power: float = 1.0  # pressing: pull per (hand minutes ** this x kiln share ** kiln_power)
    kiln_power: float = 0.0
    stay: float = 1.5  # preference for the tool that is on
    kwh_care: float = 1.0  # how much a firing must pull before it is worth its power
    bisque_pull: float = 1.0  # weight of bisque loads against glost loads
    firing_pull: tuple[float, ...] = ()  # factor on bisque of the n-th kiln decision
    wait: int = 1440  # minutes after a kiln is free within which a later, fuller load is looked at
    waiting_cost: float = 1.5  # 1 = a kiln minute counts the same idle or firing; less = waits more gladly
    extra: str = "none"  # extra hours: "none", "home" (take out, leather-hard work, kilns) or "all"
    cover_mould: str = "best"  # "never", "need" (when it cannot come out open) or "best"
    cover_steps: str = "best"
    cover_minutes: int = 120  # how much earlier a covered batch must be dry to be covered
    press_until: int = 750  # minute of the day until which pressing comes before glazing and finishing (0: never)
    fewest: int = 3  # pieces for which a press is set up at all, where that many are owed and have moulds
    least_lot: float = 0.2  # part of what an order still needs below which glazing it waits for more pieces
    small_batch: float = 0.35  # the part of the wanted pieces below which a batch waits for more moulds
    batch_max: int = 60  # pieces pressed in one batch
    finish_ahead: float = 1.5  # days before it is due from which finishing comes before pressing
    glaze_first: bool = False  # glaze before the kilns are looked at, so that a load may wait for what was glazed
    glaze_ahead: float = 3.0  # kiln loads of glazed ware that may wait
    pour: bool = False  # pour optional casts
    jobs_late: bool = True  # other jobs at the end of their window
    pour_late: bool = False  # required casts after the first days
    sweep: bool = False  # at the end, fire what is owed and left over although it is not worth a firing of its own
    surplus: bool = True  # fill room left in a bisque with ware that nobody is owed
    keep_what: str = "all"  # of the plan before: "all", "fired" (all but the finishes) or "green" (batches and casts)
    mend: str = "after"  # what the plan before lacks: "after" it is laid in, or day by day, "gentle" or "bold"
    keep: int = 0  # minute up to which what the plan before began is kept (0: nothing but the must-do work)
