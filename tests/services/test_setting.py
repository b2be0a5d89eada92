"""The setting of a form and the edge of a tool: each change a fact, each undo followed by the form."""

from __future__ import annotations

from typing import Any

import pytest

from studio.models import Fact, Form
from studio.queries.setting import setting_of
from studio.queries.tools import due_tools, tools_of
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


def form_of(shop: Shop) -> Form:
    return Form.objects.select_related("tool").get(public_id=shop.ids["form"])


def keep(shop: Shop, ball_g: int, stop: str, **more: Any) -> str:
    shop.later(minutes=5)
    undo = shop.do("setting_keep", form=shop.ids["form"], ball_g=ball_g, stop=stop, **more).undo
    assert undo is not None
    return undo


def second_tool(shop: Shop) -> str:
    return str(shop.do("tool_save", name="B2", setup_min=25, recheck_min=5).data["tool"])


def test_it_is_a_fact_and_the_form_follows_it_and_its_undo(shop: Shop) -> None:
    was = form_of(shop).ball_g
    first = keep(shop, 600, "13")
    second = keep(shop, 620, "14", tool=second_tool(shop))
    form = form_of(shop)
    assert (form.ball_g, form.tool.name) == (620, "B2")
    assert setting_of(shop.studio, form).said == "ball 620 g · tool B2 · stop 14"
    assert [b.said for b in setting_of(shop.studio, form).before] == ["ball 600 g · tool Bowl · stop 13"]
    shop.do("undo", command=second)
    assert (form_of(shop).ball_g, form_of(shop).tool.name) == (600, "Bowl")
    shop.do("undo", command=first)
    assert form_of(shop).ball_g == was and setting_of(shop.studio, form_of(shop)).since is None


def test_an_undo_of_the_undo_brings_it_back(shop: Shop) -> None:
    undone = shop.do("undo", command=keep(shop, 600, "13")).undo
    shop.do("undo", command=undone)
    assert form_of(shop).ball_g == 600


def test_one_corrected_is_followed(shop: Shop) -> None:
    keep(shop, 600, "13")
    fact = Fact.objects.get(studio=shop.studio, kind="setting")
    shop.do("correct", fact=fact.public_id, data={"ball_g": 610})
    assert form_of(shop).ball_g == 610


def test_a_ball_changed_with_the_form_s_other_figures_is_one_too_and_keeps_the_stop(shop: Shop) -> None:
    keep(shop, 600, "13")
    form = form_of(shop)
    answer = shop.do("form_change", form=form.public_id, version=form.version, ball_g=640)
    assert setting_of(shop.studio, form_of(shop)).said == "ball 640 g · tool Bowl · stop 13"
    assert answer.undo is None  # an undo would leave the form's other changes standing
    shop.do("form_change", form=form.public_id, version=answer.data["version"], name="Bowl 15")
    assert Fact.objects.filter(studio=shop.studio, kind="setting").count() == 2


@pytest.mark.parametrize(
    ("said", "status"),
    [({"ball_g": 3}, 422), ({"tool": "nosuch"}, 404), ({"form": "nosuch"}, 404), ({"stop": "x" * 50}, 422)],
)
def test_what_cannot_be_is_refused(shop: Shop, said: dict[str, Any], status: int) -> None:
    shop.refused(status, "setting_keep", **{"form": shop.ids["form"], "ball_g": 600, "stop": "13", **said})


def test_a_maker_does_not_change_it_and_another_studio_neither(shop: Shop) -> None:
    said = {"form": shop.ids["form"], "ball_g": 600, "stop": "13"}
    shop.refused(403, "setting_keep", **said, by=shop.maker())
    Shop(name="Next Door", now=shop.now).furnish().refused(404, "setting_keep", **said)


def test_today_s_pressing_names_it(shop: Shop) -> None:
    from studio.queries.cards import names_of
    from studio.queries.deck import Deck

    keep(shop, 620, "14")
    shop.order(qty=6)
    deck = Deck(shop.plan(), shop.state, names_of(shop.studio))
    press = next(c for c in deck.cards() if c.kind == "press")
    assert press.details[0] == "ball 620 g · tool Bowl · stop 14"


# --- the tool ---


def wear(shop: Shop, count: int) -> None:
    shop.later(days=1)
    shop.do("pressed", form=shop.ids["form"], count=count)


def tool(shop: Shop) -> Any:
    return tools_of(shop.studio)[form_of(shop).tool.public_id]


def test_pressings_and_trials_wear_the_tool_until_it_is_looked_at(shop: Shop) -> None:
    wear(shop, 8)
    shop.do("trial_pressed", form=shop.ids["form"], ball_g=560, spare_g=30, filled=True, verdict="again")
    assert (tool(shop).pressed, tool(shop).since) == (9, 9)
    answer = shop.do("tool_checked", tool=form_of(shop).tool.public_id, what="checked", by=shop.maker())
    assert (tool(shop).pressed, tool(shop).since, tool(shop).reground) == (9, 0, False)
    shop.do("undo", command=answer.undo)
    assert tool(shop).since == 9


def test_each_pressing_stays_with_the_tool_that_did_it(shop: Shop) -> None:
    wear(shop, 8)
    old = form_of(shop).tool.public_id
    new = second_tool(shop)
    keep(shop, 600, "13", tool=new)
    wear(shop, 5)
    found = tools_of(shop.studio)
    assert (found[old].pressed, found[new].pressed) == (8, 5)


def test_pressings_from_before_tools_were_told_count_for_the_form_s_tool(shop: Shop) -> None:
    """Facts that an earlier release wrote name no tool."""
    wear(shop, 8)
    fact = Fact.objects.get(studio=shop.studio, kind="pressed")
    fact.data.pop("tool")
    fact.save()
    assert tool(shop).since == 8
    shop.do("tool_checked", tool=form_of(shop).tool.public_id, what="checked")
    assert (tool(shop).since, tool(shop).pressed) == (0, 8)


def test_it_is_due_after_the_pressings_that_the_studio_says(shop: Shop) -> None:
    assert tool(shop).check_after == 1000  # common practice, no source
    row = form_of(shop).tool
    shop.do("tool_save", tool=row.public_id, version=row.version, name="Bowl", setup_min=25, recheck_min=5,
            check_after=50)  # fmt: skip
    for count in (8, 8, 8, 8, 8, 8):
        wear(shop, count)
    assert due_tools(shop.studio, shop.state) == ()
    wear(shop, 2)
    assert [t.name for t in due_tools(shop.studio, shop.state)] == ["Bowl"]


def test_sections_measured_tell_the_wear(shop: Shop) -> None:
    """By hand: 4.0, 4.1 and 4.2 mm at 0, 100 and 200 pressings are 1 mm a thousand; 0.5 mm more is at 500, 300 on."""
    id_ = form_of(shop).tool.public_id
    shop.do("mould_add", form=shop.ids["form"], count=100)
    for wall, count in (("4.0", 100), ("4.1", 100), ("4,2", 1)):
        shop.do("tool_checked", tool=id_, what="checked", wall=wall)
        wear(shop, count)
    assert tool(shop).wear == "The wall gets 1.0 mm thicker in a thousand pressings; 0.5 mm more than new in some 300."
    shop.do("tool_checked", tool=id_, what="reground", wall="4.0")
    assert tool(shop).wear == ""


@pytest.mark.parametrize(
    ("said", "status"), [({"what": "lost"}, 422), ({"tool": "nosuch"}, 404), ({"wall": "300"}, 422)]
)
def test_what_cannot_be_said_of_a_tool_is_refused(shop: Shop, said: dict[str, Any], status: int) -> None:
    shop.refused(status, "tool_checked", **{"tool": form_of(shop).tool.public_id, "what": "checked", **said})
