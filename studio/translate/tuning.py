"""What the planner weighs against what, and how far it looks ahead: the studio's choices, in one place."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from planner.scenario import ToFinish, Weights

DAY = 1440
LEAST_DAYS, MOST_DAYS = 14, 35  # a pot takes about two weeks from ball to box; beyond five, plans are guesses
AFTER_DUE_DAYS = 2  # so that what is due last can still be seen to be a little late

WEIGHTS = Weights(
    late=10,  # a piece, each day late
    late_step=DAY,
    tardy=100,  # an order that is late at all: somebody must be told
    kwh=1,
    setup=15,  # some 25 minutes of hands, and a chance to set the tool wrong
    cover=2,  # a sheet, and a little of somebody's evening
    extra=2,  # a minute of an evening: an hour outweighs a piece late for twelve days
    spoil=60,  # a piece thrown away that was already made
    move=5,  # people have the week in their heads
    pin=500,  # a person asked for it to stay
)
# What a studio can say matters more to it than usual, and what that does to the weights.
IN_TIME, FIRINGS, EVENINGS, TOOLS = "in_time", "firings", "evenings", "tools"
OWN, FAST, CALM = "own", "fast", "calm"  # ways: as chosen; orders in time first; the studio's own peace first
MORE: dict[str, dict[str, int]] = {
    IN_TIME: {"late": 3, "tardy": 3},
    FIRINGS: {"kwh": 3},
    EVENINGS: {"extra": 4},
    TOOLS: {"setup": 3},
}


def weights_of(matters: Collection[str]) -> Weights:
    """The weights of a studio to which ``matters`` (keys of :data:`MORE`) matter more than usual."""
    times: dict[str, int] = {}
    for key in MORE:
        if key in matters:
            times |= MORE[key]
    return replace(WEIGHTS, **{name: getattr(WEIGHTS, name) * n for name, n in times.items()})


def other_way(matters: Collection[str]) -> tuple[str, ...]:
    """What matters more in the other of two ways to do the weeks: the orders' days, or the studio's own peace."""
    return (FIRINGS, EVENINGS, TOOLS) if IN_TIME in matters or not set(matters) & set(MORE) else (IN_TIME,)


TO_FINISH = ToFinish(  # common practice for stoneware: what is still to come after each stage, waiting included
    none=11 * DAY, green=6 * DAY, bisqued=3 * DAY, glazed=2 * DAY, fired=DAY
)
DAY_ENDS = "17:00"  # of a due day on which nobody has hours
