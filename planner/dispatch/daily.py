"""What is done in a day, and in which order: kilns, finishing, glazing and pressing."""

from __future__ import annotations

from itertools import pairwise

from planner.dispatch.facts import DAY, Facts
from planner.dispatch.finishing import finish_orders, glaze_ware
from planner.dispatch.firing import fire_kilns
from planner.dispatch.pressing import press_ware
from planner.dispatch.pull import Pull
from planner.dispatch.shop import Shop


def fill_day(shop: Shop, pull: Pull, start: int, end: int) -> None:
    """Fill the free minutes of the day ``[start, end)`` with work."""
    habits = pull.habits
    noon = min(end, _at(shop.facts, start, habits.press_until))
    if habits.glaze_first:
        glaze_ware(shop, pull, start, end, True)
    again = fire_kilns(shop, pull, start, end)
    finish_orders(shop, pull, start, end, True)
    if noon > start:
        press_ware(shop, pull, start, noon)
    glaze_ware(shop, pull, start, end, True)
    again = fire_kilns(shop, pull, start, end) or again
    press_ware(shop, pull, start, end)
    glaze_ware(shop, pull, start, end, False)
    finish_orders(shop, pull, start, end, False)
    while again:  # a kiln so quick that its ware goes on the same day
        again = fire_kilns(shop, pull, start, end)
        glaze_ware(shop, pull, start, end, False)
        finish_orders(shop, pull, start, end, False)


def days(facts: Facts) -> list[tuple[int, int]]:
    """The local days of the horizon as ``[start, end)`` minutes."""
    first = DAY - facts.midnight % DAY
    marks = [0, *range(first, facts.horizon, DAY), facts.horizon]
    return list(pairwise(marks))


def _at(facts: Facts, day_start: int, minute_of_day: int) -> int:
    return day_start - (day_start + facts.midnight) % DAY + minute_of_day
