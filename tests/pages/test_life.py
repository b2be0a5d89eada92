"""The page of a form that began as a drawing: where it stands, what is next, and what to do about it."""

from __future__ import annotations

import pytest

from studio.models import Fact, Form
from tests.pages.visitor import Visitor, check_door
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def path(shop: Shop, visitor: Visitor) -> str:
    """The page of a form begun on the page of forms."""
    visitor.open("workshop/forms/")
    visitor.send("form_begin", name="Bowl 18", shape="bowl", fired_mm="180")
    return f"workshop/forms/{Form.objects.get(name='Bowl 18').public_id}/"


def test_the_door(shop: Shop, visitor: Visitor, path: str) -> None:
    check_door(path, shop)


def test_it_is_begun_with_three_questions_and_shows_its_path(shop: Shop, visitor: Visitor, path: str) -> None:
    text = visitor.open(path)
    assert "0 of 9 steps" in text and "Next: Drawing" in text and "It takes 2 h." in text
    assert "Bowl 18 has no mould yet" in text
    assert "next: drawing" in visitor.open("workshop/forms/")


def test_a_refused_beginning_keeps_what_was_entered(shop: Shop, visitor: Visitor) -> None:
    visitor.open("workshop/forms/")
    visitor.send("form_begin", name="Thimble", shape="bowl", fired_mm="5")
    assert 'value="Thimble"' in visitor.page and "from 20 to 800" in visitor.text


def test_done_and_not_done_after_all(shop: Shop, visitor: Visitor, path: str) -> None:
    visitor.open(path)
    text = visitor.send("form_step", {"step": "drawing"})
    assert "Next: Model" in text and "1 of 9 steps" in text and "Turning plaster: goggles" in text
    fact = Fact.objects.get(studio=shop.studio, kind="form_step").public_id
    text = visitor.send("undo", {"fact": fact})
    assert "Next: Drawing" in text


def test_its_path_is_told_by_sign_and_word(shop: Shop, visitor: Visitor, path: str) -> None:
    visitor.open(path)
    visitor.send("form_step", {"step": "drawing"})
    items = visitor.page.split('<li class="path-')[1:]
    assert len(items) == 9 and items[0].startswith("done") and "#m-tick" in items[0]
    assert items[1].startswith("next") and 'aria-current="step"' in items[1] and "later" in items[2]


def test_when_the_plan_has_it_stands_there(shop: Shop, visitor: Visitor, path: str) -> None:
    text = visitor.open(path)
    assert "Not in the plan in use" in text
    shop.plan()
    text = visitor.open(path)
    assert "In the plan: Friday " in text  # within the week, when it moves nothing else
    assert "Draw Bowl 18" in visitor.open("week/")


def test_the_minutes_are_changed_on_the_page(shop: Shop, visitor: Visitor, path: str) -> None:
    visitor.open(path)
    text = visitor.send("step_plan", drawing_min="45")
    assert "It takes 45 min." in text
    text = visitor.send("step_plan", drawing_min="9999")
    assert "from 0 to 1440" in text


def test_working_moulds_are_planned_there(shop: Shop, visitor: Visitor, path: str) -> None:
    form = path.split("/")[-2]
    for step in ("drawing", "model", "trial_mould", "tool", "trial_pressings", "fired_test", "approved"):
        shop.do("form_step", form=form, step=step)
    visitor.open(path)
    text = visitor.send("cast_save", count="3")
    assert "4 planned already" in text  # with the trial mould that nobody poured


def test_an_order_for_it_says_that_there_is_no_mould(shop: Shop, visitor: Visitor, path: str) -> None:
    form = path.split("/")[-2]
    lines = [{"form": form, "glaze": shop.ids["glaze"], "qty": 6}]
    order = shop.do("order_new", customer_name="Hill Café", due="2027-05-01", lines=lines).data["order"]
    assert "Bowl 18 has no mould yet" in visitor.open(f"orders/{order}/")


def test_a_maker_says_what_is_done_and_changes_no_minutes(shop: Shop, path: str) -> None:
    maker = Visitor(shop, shop.maker())
    text = maker.open(path)
    assert "Minutes for the plan" not in text
    assert "Next: Model" in maker.send("form_step", {"step": "drawing"})


def test_a_form_in_production_has_no_path(shop: Shop, visitor: Visitor) -> None:
    assert "Where it stands" not in visitor.open(f"workshop/forms/{shop.ids['form']}/")


def test_a_worn_tool_is_a_small_reminder_on_today_until_it_is_looked_at(shop: Shop, visitor: Visitor) -> None:
    tool = Form.objects.get(public_id=shop.ids["form"]).tool
    shop.do("tool_save", tool=tool.public_id, version=1, name="Bowl", setup_min=25, recheck_min=5, check_after=50)
    shop.do("mould_add", form=shop.ids["form"], count=60)
    shop.do("pressed", form=shop.ids["form"], count=52)
    shop.order()
    shop.plan()
    assert "Tool Bowl: 52 pressings since it was looked at." in visitor.open("")
    text = visitor.open("workshop/stations/")
    assert "look at its edge" in text and "52 pressings on record" in text
    text = visitor.send("tool_checked", wall="4.2", what="checked")
    assert "look at its edge" not in text and "Checked today" in text
    assert "since it was looked at" not in visitor.open("")
