"""Finished pots on the shelf: seconds that a customer takes, and what leaves the shelf without an order."""

from __future__ import annotations

from typing import Any

import pytest

from studio.models import Fact, FormTimings, Order
from studio.services.answers import Answer
from studio.translate import scenario_at
from studio.translate.rows import Rows
from studio.translate.shelf import Share, Shares, shares_of
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def stocked(shop: Shop) -> Shop:
    """Nothing is lost on the way; three firsts and five seconds stand there for nobody."""
    FormTimings.objects.filter(studio=shop.studio).update(loss_making_pct=0, loss_bisque_pct=0, loss_glost_pct=0)
    stand(shop, firsts=3, seconds=5)
    return shop


def kind(shop: Shop) -> dict[str, Any]:
    return {"form": shop.ids["form"], "glaze": shop.ids["glaze"]}


def stand(shop: Shop, *, firsts: int = 0, seconds: int = 0, line: str | None = None) -> None:
    shop.do("opening_ware", **kind(shop), count=firsts + seconds, stage="fired", order=line)
    where = {"order": line} if line else kind(shop)
    shop.do("sorted", **where, firsts=firsts, seconds=seconds)


def shares(shop: Shop) -> Shares:
    return shares_of(shop.state, Rows(shop.studio).lines)


def free(shop: Shop) -> tuple[int, int]:
    there, key = shares(shop), "/".join(kind(shop).values())
    return there.firsts.get(key, 0), there.seconds.get(key, 0)


def wanted(shop: Shop, line: str) -> int:
    """How many the next plan finishes for ``line``."""
    orders = {o.id: o.qty for o in scenario_at(shop.studio, shop.now).scenario.orders}
    return orders.get(line, 0)


def take(shop: Shop, line: str, count: int) -> Answer:
    return shop.do("seconds_taken", line=line, count=count)


def test_seconds_that_the_customer_takes_are_made_no_more(stocked: Shop) -> None:
    line = stocked.order(qty=10)
    assert wanted(stocked, line) == 7 and free(stocked) == (0, 5)
    answer = take(stocked, line, 4)
    assert "4 seconds go with the order" in answer.message
    assert wanted(stocked, line) == 3 and free(stocked) == (0, 1)
    assert shares(stocked).lines[line] == Share(firsts=0, seconds=4, stock=3, missing=3)
    stocked.do("undo", command=answer.undo)
    assert wanted(stocked, line) == 7 and free(stocked) == (0, 5)


def test_they_are_sent_with_the_order_and_all_adds_up(stocked: Shop) -> None:
    line = stocked.order(qty=4)
    stand(stocked, firsts=2, line=line)  # of its own, beside the three of nobody
    stocked.do("line_change", line=line, version=1, qty=9)
    take(stocked, line, 4)
    stocked.do("shipped", order=stocked.ids["order"])  # its own two and the four seconds
    state, key = stocked.state, "/".join(kind(stocked).values())
    assert state.troubles == [] and (state.lines[line].shipped, state.lines[line].taken_sent) == (6, 4)
    assert (state.shelf[key], state.seconds[key]) == (3, 1)
    assert shares(stocked).lines[line] == Share(stock=3)
    stocked.do("shipped", lines=[{"line": line, "count": 3}])
    state = stocked.state
    assert state.troubles == [] and (state.shelf[key], state.seconds[key]) == (0, 1)
    assert Order.objects.get(public_id=stocked.ids["order"]).closed_at is not None
    assert free(stocked) == (0, 1)


def test_never_more_than_stand_there_and_never_more_than_it_lacks(stocked: Shop) -> None:
    line = stocked.order(qty=20)
    answer = stocked.refused(422, "seconds_taken", line=line, count=6)
    assert "5 seconds are on the shelf" in answer.message and answer.errors["count"] == "At most 5."
    small = stocked.order(qty=1, days=3)  # due first: a first of nobody is its own
    answer = stocked.refused(422, "seconds_taken", line=small, count=1)
    assert "lacks nothing" in answer.message
    take(stocked, line, 5)
    other = stocked.order(qty=20)
    assert "No second" in stocked.refused(422, "seconds_taken", line=other, count=1).message


def test_another_studio_s_line_is_not_found(stocked: Shop) -> None:
    other = Shop(name="Next Door").furnish()
    stocked.refused(404, "seconds_taken", line=other.order(), count=1)
    stocked.refused(404, "off_shelf", **kind(other), seconds=1, how="sold")


def test_a_maker_may_tell_both_and_sent_twice_is_told_once(stocked: Shop) -> None:
    line, maker = stocked.order(qty=10), stocked.maker()
    for _time in range(2):
        answer = stocked.send("seconds_taken", client_id="tap-1", by=maker, line=line, count=2)
        assert answer.status == 200
        gone = {**kind(stocked), "seconds": 1, "how": "given"}
        assert stocked.send("off_shelf", client_id="tap-2", by=maker, **gone).status == 200
    assert free(stocked) == (0, 2)


def test_a_cancelled_order_leaves_its_seconds_to_others(stocked: Shop) -> None:
    first, order = stocked.order(qty=10), stocked.ids["order"]
    take(stocked, first, 5)
    stocked.do("order_cancel", order=order, version=1)
    second = stocked.order(qty=10, days=3)
    assert free(stocked) == (0, 5)
    take(stocked, second, 4)
    stocked.do("order_restore", order=order, version=2)
    assert free(stocked) == (0, 0) and shares(stocked).lines[first].seconds == 1  # no more than there are
    assert shares(stocked).lines[second].seconds == 4


def test_a_sorting_taken_back_takes_its_seconds_along(stocked: Shop) -> None:
    line = stocked.order(qty=10)
    take(stocked, line, 4)
    stocked.do("undo", fact=Fact.objects.get(studio=stocked.studio, kind="sorted").public_id)
    assert shares(stocked).lines[line] == Share(missing=10)
    assert [t.code for t in stocked.state.troubles] == ["more_than_there_are"]


def test_the_count_can_be_corrected(stocked: Shop) -> None:
    line = stocked.order(qty=10)
    fact = take(stocked, line, 4).data["facts"][0]
    stocked.do("recount", fact=fact, count=2)
    assert shares(stocked).lines[line].seconds == 2 and free(stocked) == (0, 3)
    assert stocked.refused(422, "recount", fact=fact, count=0).errors["count"]
    gone = stocked.do("off_shelf", **kind(stocked), seconds=2, how="sold").data["facts"][0]
    stocked.do("recount", fact=gone, seconds=1)
    assert free(stocked) == (0, 2)
    assert stocked.refused(422, "recount", fact=gone, seconds=0).errors["firsts"]


@pytest.mark.parametrize("how", ["sold", "given", "broken"])
def test_what_is_nobody_s_leaves_the_shelf_and_can_be_had_back(stocked: Shop, how: str) -> None:
    answer = stocked.do("off_shelf", **kind(stocked), firsts=1, seconds=2, how=how)
    assert "3 pots are off the shelf" in answer.message and free(stocked) == (2, 3)
    assert stocked.state.lost == {}  # sold or broken on the shelf says nothing of how ware comes out of the kiln
    stocked.do("undo", command=answer.undo)
    assert free(stocked) == (3, 5)


def test_what_is_for_an_order_does_not_leave_without_it(stocked: Shop) -> None:
    line = stocked.order(qty=8)
    take(stocked, line, 4)
    answer = stocked.refused(422, "off_shelf", **kind(stocked), firsts=1, seconds=2, how="sold")
    assert answer.errors == {"firsts": "At most 0.", "seconds": "At most 1."}
    stocked.refused(422, "off_shelf", **kind(stocked), how="sold")
    stocked.refused(422, "off_shelf", **kind(stocked), seconds=1, how="eaten")


def test_a_surplus_first_that_was_sold_is_not_counted_when_its_order_grows(stocked: Shop) -> None:
    """Four were sorted for two; the other two and the three of nobody are sold, then the customer wants five."""
    line = stocked.order(qty=2)
    stand(stocked, firsts=4, line=line)
    stocked.do("off_shelf", **kind(stocked), firsts=5, how="sold")
    stocked.do("line_change", line=line, version=1, qty=5)
    assert wanted(stocked, line) == 3 and shares(stocked).lines[line] == Share(firsts=2, missing=3)
