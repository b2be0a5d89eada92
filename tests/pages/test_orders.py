"""The order book: its list with the line of counts, and one order from the first word to the courier."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone

from studio.models import Order, OrderLine
from studio.queries.orders import Count, picture
from tests.pages.conftest import Browser
from tests.pages.visitor import Visitor, check_door
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


def due(days: int = 14) -> str:
    return (timezone.localdate() + dt.timedelta(days=days)).isoformat()


@pytest.mark.parametrize("page", ["orders/", "orders/new/"])
def test_the_door_of_each_page(page: str, shop: Shop) -> None:
    check_door(page, shop)


def test_the_door_of_an_order(shop: Shop, visitor: Visitor) -> None:
    shop.order()
    check_door(f"orders/{shop.ids['order']}/", shop)
    visitor.open("orders/nosuch/", status=404)


def test_an_empty_book_says_what_to_do_next(empty: Shop) -> None:
    visitor = Visitor(empty)
    assert "No orders yet" in visitor.open("orders/")
    assert "First a form and a glaze" in visitor.open("orders/new/")


def test_a_new_order_with_a_customer_of_that_name_and_two_lines(shop: Shop, visitor: Visitor) -> None:
    visitor.open("orders/new/")
    fields = {
        "customer_name": "Café Wren", "due": due(), "qty": ["12", "", "3"], "form": [shop.ids["form"], "", ""],
        "glaze": [shop.ids["glaze"], "", ""],
    }  # fmt: skip
    fields["form"][2], fields["glaze"][2] = shop.ids["form"], shop.ids["glaze"]
    text = visitor.send("order_new", **fields)
    assert "The order with its 2 lines is in the book." in text
    assert "Café Wren" in text
    assert "12 wanted:" in text


def test_a_refused_order_keeps_what_was_entered_and_says_what_is_missing_at_its_line(
    shop: Shop, visitor: Visitor
) -> None:
    visitor.open("orders/new/")
    lines = {"qty": ["", "4", ""], "form": [shop.ids["form"], shop.ids["form"], ""],
             "glaze": [shop.ids["glaze"], "", ""]}  # fmt: skip
    text = visitor.send("order_new", customer_name="Café Wren", due="2027-99-99", note="blue ribbon", **lines)
    assert "What you entered is still here." in text
    assert "Enter a date, such as 2027-03-15." in text
    form = visitor.form("order_new")
    assert (form["customer_name"], form["note"]) == ("Café Wren", "blue ribbon")
    assert form["qty"][:2] == ["", "4"]
    assert form["form"][:2] == [shop.ids["form"], shop.ids["form"]]
    assert Order.objects.count() == 0


def test_a_line_with_a_form_and_no_number_is_asked_for_it(shop: Shop, visitor: Visitor) -> None:
    visitor.open("orders/new/")
    lines = {"qty": ["5", "", ""], "form": [shop.ids["form"], shop.ids["form"], ""],
             "glaze": [shop.ids["glaze"], shop.ids["glaze"], ""]}  # fmt: skip
    visitor.send("order_new", customer_name="Café Wren", due=due(), **lines)
    assert Order.objects.count() == 0
    assert 'id="line-1-qty-e">Please fill this in.' in visitor.page


def test_a_changed_order(shop: Shop, visitor: Visitor) -> None:
    shop.order(qty=10)
    visitor.open(f"orders/{shop.ids['order']}/")
    form = visitor.form("order_change")
    assert form["qty"][0] == "10"
    text = visitor.send("order_change", qty=["8", *form["qty"][1:]], weight="3", note="for the fair")
    assert "The order is changed." in text
    order = Order.objects.get()
    assert (order.weight, order.note, order.lines.get().qty) == (3, "for the fair", 8)


def test_a_line_whose_number_is_taken_out_is_cancelled(shop: Shop, visitor: Visitor) -> None:
    shop.order(qty=10)
    shop.do("line_add", order=shop.ids["order"], version=1, form=shop.ids["form"], glaze=shop.ids["glaze"], qty=6)
    visitor.open(f"orders/{shop.ids['order']}/")
    form = visitor.form("order_change")
    visitor.send("order_change", qty=["10", "", *form["qty"][2:]])
    order = Order.objects.get()
    assert [x.qty for x in order.lines.filter(cancelled_at=None)] == [10]


def test_a_stale_change_is_told_and_the_entries_stay_and_can_be_sent_again(shop: Shop, visitor: Visitor) -> None:
    shop.order(qty=10)
    visitor.open(f"orders/{shop.ids['order']}/")
    shop.do("order_change", order=shop.ids["order"], version=1, note="theirs")
    text = visitor.send("order_change", note="mine")
    assert "Somebody else changed this in the meantime." in text
    assert "Now: theirs" in text
    assert visitor.form("order_change")["note"] == "mine"
    assert "The order is changed." in visitor.send("order_change")
    assert Order.objects.get().note == "mine"


def test_cancelled_and_standing_again(shop: Shop, visitor: Visitor) -> None:
    shop.order()
    page = f"orders/{shop.ids['order']}/"
    visitor.open(page)
    visitor.send("order_cancel")
    assert "The Ninth Heron" not in visitor.open("orders/")
    assert "cancelled" in visitor.open("orders/?show=done")
    visitor.open(page)
    visitor.send("order_restore")
    assert "The Ninth Heron" in visitor.open("orders/")
    visitor.open(page)
    visitor.send("order_cancel")
    visitor.open("orders/?show=done")
    visitor.send("order_restore")
    assert "The Ninth Heron" in visitor.open("orders/")


def test_the_counts_follow_the_ware_and_the_courier_closes_the_order(shop: Shop, visitor: Visitor) -> None:
    line = shop.order(qty=6)
    shop.do("pressed", form=shop.ids["form"], count=4)
    assert "4 in the moulds" in visitor.open("orders/")
    shop.do("opening_ware", form=shop.ids["form"], count=6, stage="fired", glaze=shop.ids["glaze"], order=line)
    assert "6 to be sorted" in visitor.open("orders/")
    assert "still to press" not in visitor.text.split("6 wanted:")[1][:40]
    shop.do("sorted", order=line, firsts=5, seconds=1)
    assert "5 ready to send" in visitor.open("orders/")
    visitor.open(f"orders/{shop.ids['order']}/")
    visitor.send("shipped", {f"n:{line}": "5"}, **{f"n:{line}": "2"})
    assert "2 sent" in visitor.open("orders/")
    visitor.open(f"orders/{shop.ids['order']}/")
    visitor.send("shipped", {f"n:{line}": "3"})
    shop.do("opening_ware", form=shop.ids["form"], count=1, stage="fired", glaze=shop.ids["glaze"], order=line)
    shop.do("sorted", order=line, firsts=1)
    visitor.open("orders/")
    visitor.send("shipped")
    assert "all sent" in visitor.open("orders/?show=done")


def test_an_order_that_cannot_be_ready_says_by_how_much_and_why(shop: Shop, visitor: Visitor) -> None:
    shop.order(qty=6, days=1)
    shop.plan()
    text = visitor.open("orders/")
    assert "will be late in this plan" in text
    assert "late" in visitor.page
    assert "pressing, drying and two firings take until" in text


def test_an_order_entered_after_the_plan_is_said_not_to_be_in_it(shop: Shop, visitor: Visitor) -> None:
    shop.order(qty=6)
    shop.plan()
    assert "not in this plan" not in visitor.open("orders/")
    shop.order(qty=3)
    assert "not in this plan" in visitor.open("orders/")


def test_the_picture_shows_every_stage_and_no_more_pots_than_fit() -> None:
    counts = [Count("sent", 1), Count("bisqued", 100), Count("to_press", 60)]
    looks = picture(counts)
    assert set(looks) == {"sent", "bisqued", "none"}
    assert len(looks) <= 15 + 1  # one for each 11, and at least one each
    assert picture([]) == ()


def test_an_order_whose_day_is_past_is_told_one_thing(shop: Shop, visitor: Visitor) -> None:
    shop.order(qty=10, days=1)
    shop.plan()
    text = visitor.open("orders/")
    assert text.count("will be late") == 2  # in the line above all orders, and at the order
    assert "will be late" in visitor.open(f"orders/{shop.ids['order']}/")
    shop.later(days=2)
    text = visitor.open("orders/")
    assert "its day is past" in text
    assert text.count("will be late") == 1
    text = visitor.open(f"orders/{shop.ids['order']}/")
    assert "its day is past" in text
    assert "will be late" not in text


def test_a_late_order_tells_what_its_last_pieces_wait_for(shop: Shop, visitor: Visitor) -> None:
    """Sixty bowls in eight moulds, filled once a day: the moulds hold them up, and the page says so."""
    shop.order(qty=60, days=16)
    shop.plan()
    text = visitor.open(f"orders/{shop.ids['order']}/")
    assert "will be late" in text
    assert "for Bowl moulds to be dry" in text
    assert "Work, setting, drying and firing alone take" in text


def test_a_cancelled_line_stands_again_in_one_tap(shop: Shop, browser: Browser) -> None:
    line = shop.order(qty=7)
    order = shop.ids["order"]
    shop.do("line_add", order=order, version=1, form=shop.ids["form"], glaze=shop.ids["glaze"], qty=3)
    shop.do("line_cancel", line=line, version=1)
    assert "7 × Bowl, Chalk cancelled" in browser.open(f"orders/{order}/").text
    browser.press("It stands again")
    assert OrderLine.objects.get(public_id=line).cancelled_at is None
    assert "cancelled" not in browser.open(f"orders/{order}/").text.split("Cancel the order")[0].lower()
