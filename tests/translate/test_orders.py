"""Open lines as the planner's orders: pieces, dates, and who has the first claim on what stands there."""

from __future__ import annotations

import datetime as dt
from typing import Any

from planner.scenario import Order
from planner.solve import solve
from studio.models import FormTimings
from studio.translate import Made, scenario_at
from tests.services.shop import Shop


def made(shop: Shop) -> Made:
    return scenario_at(shop.studio, shop.now)


def lose(shop: Shop, making: int, bisque: int, glost: int) -> None:
    FormTimings.objects.filter(studio=shop.studio).update(
        loss_making_pct=making, loss_bisque_pct=bisque, loss_glost_pct=glost
    )


def order(shop: Shop, line: str) -> Order:
    return made(shop).scenario.order[line]


def stands(shop: Shop, count: int, stage: str, line: str | None = None, **more: Any) -> None:
    shop.do("opening_ware", form=shop.ids["form"], count=count, stage=stage, order=line, **more)


def test_the_worked_example_of_losses_in_a_studio(shop: Shop) -> None:
    """20 firsts are owed; 6 stand fired and 10 bisqued; 4, 1 and 4 % are lost on the way: see pieces_to_make."""
    lose(shop, 4, 1, 4)
    line = shop.order(qty=20)
    stands(shop, 6, "fired", line)
    stands(shop, 10, "bisqued")
    assert order(shop, line).qty == 22


def test_without_losses_it_is_what_was_ordered(shop: Shop) -> None:
    lose(shop, 0, 0, 0)
    assert order(shop, shop.order(qty=20)).qty == 20


def test_each_stage_has_only_the_losses_ahead_of_it(shop: Shop) -> None:
    lose(shop, 50, 20, 10)
    line = shop.order(qty=9)
    assert order(shop, line).qty == 25  # 9 / (0.5 × 0.8 × 0.9) = 25
    shop.do("pressed", form=shop.ids["form"], count=2)
    assert order(shop, line).qty == 25  # in the moulds it all lies ahead
    stands(shop, 100, "leather")
    assert order(shop, line).qty == 13  # drying: 9 / (0.8 × 0.9)
    stands(shop, 100, "bisqued")
    assert order(shop, line).qty == 10  # 9 / 0.9


def test_what_is_due_first_has_the_first_claim_on_shared_ware(shop: Shop) -> None:
    lose(shop, 0, 0, 50)
    late, early = shop.order(qty=10, days=12), shop.order(qty=10, days=6)
    stands(shop, 20, "bisqued")
    assert (order(shop, early).qty, order(shop, late).qty) == (20, 20)
    lose(shop, 50, 0, 50)
    assert (order(shop, early).qty, order(shop, late).qty) == (20, 40)


def test_sorted_firsts_and_stock_are_counted_off(shop: Shop) -> None:
    lose(shop, 0, 0, 0)
    line = shop.order(qty=10)
    stands(shop, 4, "fired", line)
    ware = next(iter(shop.state.ware))
    shop.do("sorted", pieces=[{"batch": ware, "count": 4}], order=line, firsts=3, seconds=1)
    assert order(shop, line).qty == 7
    stands(shop, 5, "fired", glaze=shop.ids["glaze"])
    ware = next(iter(shop.state.ware))
    shop.do("sorted", pieces=[{"batch": ware, "count": 5}], firsts=5, form=shop.ids["form"], glaze=shop.ids["glaze"])
    assert order(shop, line).qty == 2 and made(shop).from_stock == {line: 5}
    second = shop.order(qty=4, days=20)
    assert order(shop, second).qty == 4  # the stock is gone


def test_what_was_sorted_for_a_cancelled_order_or_was_too_much_is_free_for_others(shop: Shop) -> None:
    lose(shop, 0, 0, 0)
    first = shop.order(qty=3)
    stands(shop, 5, "fired", first)
    ware = next(iter(shop.state.ware))
    shop.do("sorted", pieces=[{"batch": ware, "count": 5}], order=first, firsts=5)
    cancelled = shop.ids["order"]
    second = shop.order(qty=10)
    assert order(shop, second).qty == 8 and made(shop).from_stock == {second: 2}
    shop.do("order_cancel", order=cancelled, version=1)
    assert order(shop, second).qty == 5 and made(shop).from_stock == {second: 5}


def test_a_line_that_is_all_there_is_no_order_any_more(shop: Shop) -> None:
    line = shop.order(qty=3)
    stands(shop, 5, "fired", line)
    ware = next(iter(shop.state.ware))
    shop.do("sorted", pieces=[{"batch": ware, "count": 3}], order=line, firsts=3)
    assert made(shop).scenario.orders == ()
    assert [w.order for w in made(shop).scenario.wip] == [None]


def test_an_order_is_due_at_the_end_of_its_days_work(shop: Shop) -> None:
    friday, saturday = shop.order(qty=1, days=4), shop.order(qty=1, days=5)
    assert order(shop, friday).due == 4 * 1440 + 9 * 60  # 17:00, from Monday 08:00
    assert order(shop, saturday).due == 5 * 1440 + 9 * 60  # nobody has hours: 17:00
    late = shop.order(qty=1, days=20)  # past 28 March 2027, when London's clocks go forward
    assert order(shop, late).due == 20 * 1440 + 9 * 60 - 60


def test_the_horizon_reaches_past_the_last_due_day_within_reason(shop: Shop) -> None:
    def days() -> float:
        return (made(shop).scenario.horizon + 8 * 60) / 1440  # the studio opens at 08:00

    assert abs(days() - 14) < 0.1  # an hour less: the clocks go forward in it
    shop.order(qty=1, days=17)
    assert abs(days() - 20) < 0.1
    shop.order(qty=1, days=90)
    assert abs(days() - 35) < 0.1


def test_the_horizon_lets_a_late_order_be_finished_however_late_it_is(shop: Shop) -> None:
    """48 bowls on eight moulds want some ten pressings, and are weeks late before the first: the plan finishes them."""
    line = shop.order(qty=48, days=3)
    for _week in range(4):
        told = made(shop)
        plan = solve(told.scenario, seconds=0)
        assert [(o.id, o.reckoned) for o in plan.orders] == [(line, False)]
        assert 20 * 1440 < told.scenario.horizon < 36 * 1440
        shop.later(days=7)


def test_the_horizon_is_bounded_for_the_computer_and_short_when_nothing_is_missing(shop: Shop) -> None:
    shop.order(qty=5000, days=3)
    assert 34 * 1440 < made(shop).scenario.horizon < 36 * 1440
    shop.do("order_cancel", order=shop.ids["order"], version=1)
    assert made(shop).scenario.horizon < 15 * 1440


def test_orders_far_ahead_wait_unless_ware_of_theirs_stands_there(shop: Shop) -> None:
    far = shop.order(qty=5, days=200)
    assert made(shop).scenario.orders == () and made(shop).left_out == {far: "far"}
    stands(shop, 2, "glazed", far)
    assert [o.id for o in made(shop).scenario.orders] == [far]


def test_customers_names_and_weights_come_along(shop: Shop) -> None:
    line = shop.order(qty=5)
    due = (shop.now + dt.timedelta(days=3)).date().isoformat()
    lines = [{"form": shop.ids["form"], "glaze": shop.ids["glaze"], "qty": 5}]
    fair = shop.do("order_new", customer_name="The fair", due=due, weight=3, lines=lines).data["lines"][0]
    assert (order(shop, line).name, order(shop, line).weight) == ("The Ninth Heron", 1)
    assert (order(shop, fair).name, order(shop, fair).weight) == ("The fair", 3)
    assert made(shop).names[fair] == "The fair"
