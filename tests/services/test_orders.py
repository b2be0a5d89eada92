"""Orders and their lines."""

from __future__ import annotations

import datetime as dt

import pytest

from studio.models import (
    Order,
    OrderLine,
)
from tests.services.shop import Shop


def test_an_order_by_a_plain_form_with_empty_lines(shop: Shop) -> None:
    form, glaze = shop.ids["form"], shop.ids["glaze"]
    lines = {"form": [form, "", form], "glaze": [glaze, "", glaze], "qty": ["10", "", "4"]}
    shop.do("order_new", customer_name=" Ossel House ", due="2027-04-02", **lines)
    order = Order.objects.get()
    assert order.customer.name == "Ossel House"
    assert sorted(order.lines.values_list("qty", flat=True)) == [4, 10]
    shop.do("order_new", customer_name="ossel house", due="2027-04-03", form=form, glaze=glaze, qty="1")
    assert len({o.customer_id for o in Order.objects.all()}) == 1


@pytest.mark.parametrize(
    ("change", "field"),
    [({"due": "soon"}, "due"), ({"customer_name": ""}, "customer_name"), ({"qty": "0"}, "lines.0.qty"),
     ({"form": "", "qty": ""}, "qty"), ({"weight": "9"}, "weight"), ({"note": "x" * 2001}, "note")],
)  # fmt: skip
def test_what_is_wrong_in_an_order_is_told_by_field(shop: Shop, change: dict[str, str], field: str) -> None:
    good = {"customer_name": "Ossel House", "due": "2027-04-02", "form": shop.ids["form"], "glaze": shop.ids["glaze"],
            "qty": "3"}  # fmt: skip
    answer = shop.refused(422, "order_new", **{**good, **change})
    assert list(answer.errors) == [field]
    assert not Order.objects.exists()


def test_changing_an_order_keeps_cancels_and_adds_lines(shop: Shop) -> None:
    kept = shop.order(qty=10)
    form, glaze = shop.ids["form"], shop.ids["glaze"]
    order = shop.ids["order"]
    shop.do("line_add", order=order, version=1, form=form, glaze=glaze, qty=3)
    lines = [{"line": kept, "form": form, "glaze": glaze, "qty": 12}, {"form": form, "glaze": glaze, "qty": 5}]
    shop.do("order_change", order=order, version=2, due="2027-05-01", lines=lines)
    open_lines = OrderLine.objects.filter(cancelled_at=None)
    assert sorted(open_lines.values_list("qty", flat=True)) == [5, 12]
    assert OrderLine.objects.get(public_id=kept).qty == 12
    assert Order.objects.get().due == dt.date(2027, 5, 1)


def test_another_glaze_is_another_line(shop: Shop) -> None:
    line = shop.order(qty=10)
    tide = shop.do("glaze_save", name="Tide", programs=[shop.ids["glost"]]).data["glaze"]
    shop.do("line_change", line=line, version=1, qty=10, glaze=tide)
    assert OrderLine.objects.get(public_id=line).cancelled_at is not None
    assert OrderLine.objects.get(cancelled_at=None).glaze.public_id == tide


def test_a_cancelled_order_is_changed_no_more_but_can_be_restored(shop: Shop) -> None:
    shop.order()
    order = shop.ids["order"]
    shop.do("order_cancel", order=order, version=1)
    shop.refused(422, "order_change", order=order, version=2, due="2027-05-01")
    shop.do("order_restore", order=order, version=2)
    shop.do("order_change", order=order, version=3, due="2027-05-01")


def test_ware_of_a_cancelled_order_is_planned_as_stock(shop: Shop) -> None:
    from studio.translate import scenario_at

    line = shop.order(qty=8)
    shop.do("opening_ware", form=shop.ids["form"], count=4, stage="glazed", order=line)
    shop.do("order_cancel", order=shop.ids["order"], version=1)
    scenario = scenario_at(shop.studio, shop.now).scenario
    assert scenario.orders == ()
    assert [w.order for w in scenario.wip] == [None]


def test_cancelling_the_last_line_cancels_the_order(shop: Shop) -> None:
    line = shop.order()
    shop.refused(409, "line_cancel", line=line, version=7)
    shop.do("line_cancel", line=line, version=1)
    assert Order.objects.get().cancelled_at is not None
