"""A drying cupboard has its own air: moulds in it rest shorter, and it is said where plaster would be harmed."""

from __future__ import annotations

import pytest

from planner.craft.air import CUPBOARD, times_ordinary
from studio.models import Form, FormTimings, Studio
from studio.translate import scenario_at
from tests.pages.visitor import Visitor
from tests.services.shop import Shop


def rest(shop: Shop) -> int:
    shop.studio = Studio.objects.get(pk=shop.studio.pk)
    return scenario_at(shop.studio, shop.now).scenario.form[shop.ids["form"]].mould_rest


def save(shop: Shop, **more: object) -> str:
    studio = Studio.objects.get(pk=shop.studio.pk)
    said = {"warmth_c": "35", "humidity_pct": "35", "forms": [shop.ids["form"]]} | more
    return shop.do("cupboard_save", version=studio.version, **said).message


def test_moulds_in_it_rest_half_as_long_whatever_the_week(shop: Shop) -> None:
    """35 °C and 35 % draw some four times as much as an ordinary week; a rest is never reckoned below half of it,
    which gives the two fillings a day of common practice."""
    assert times_ordinary(CUPBOARD) > 3.5
    usual = FormTimings.objects.get().mould_rest_min
    assert rest(shop) == usual
    said = save(shop)
    assert "at 35 °C and 35 % humidity, moulds rest 0.5 times" in said and "plaster" not in said
    assert rest(shop) == usual / 2
    shop.do("week_set", week="damp")
    assert rest(shop) == usual / 2
    shop.do("cupboard_save", version=Studio.objects.get(pk=shop.studio.pk).version, none=True)
    assert rest(shop) == FormTimings.objects.get().mould_rest_damp_min
    assert not Form.objects.get().in_cupboard


def test_only_the_forms_said_dry_in_it(shop: Shop) -> None:
    usual = rest(shop)
    save(shop, forms=[])
    assert rest(shop) == usual
    # 24 °C and 60 %: 1.18 times the deficit of an ordinary week, by the law of ASHRAE as in craft.air
    save(shop, warmth_c="24", humidity_pct=60)
    assert usual / 1.4 < rest(shop) < usual


def test_moulds_that_rest_are_ready_sooner_and_it_says_so(shop: Shop) -> None:
    batch = shop.do("pressed", form=shop.ids["form"], count=2).data["batch"]
    shop.later(hours=8)
    shop.do("taken_out", batch=batch)
    assert "2 moulds are ready sooner" in save(shop)


@pytest.mark.parametrize(("warm", "said"), [
    (42, ""), (44, "In its first day a mould should not stand above 42 °C"),
    (46, "Keep moulds at 45 °C or below"), (50, "Above 49 °C plaster turns soft and powdery for good"),
])  # fmt: skip
def test_it_is_warned_by_the_plaster_makers_limits(shop: Shop, warm: int, said: str) -> None:
    """A plaster maker's bulletin: 110 to 120 °F, that is 43 to 49 °C, and above a calcined surface."""
    told = save(shop, warmth_c=warm)
    assert said in told and (said != "" or "laster" not in told)
    for page in ("workshop/racks/", f"moulds/{shop.ids['form']}/"):
        assert said in Visitor(shop).open(page)


def test_in_fahrenheit_and_on_the_pages(shop: Shop) -> None:
    Studio.objects.update(units="us")
    visitor = Visitor(shop)
    visitor.open("workshop/racks/")
    assert visitor.form("cupboard_save")["warmth_f"] == ""
    visitor.send("cupboard_save", warmth_f="122", humidity_pct="30", forms=shop.ids["form"])
    assert Studio.objects.get(pk=shop.studio.pk).cupboard_tenths_c == 500
    text = visitor.open("workshop/racks/")
    assert "at 122 °F and 30 % humidity" in text and "Above 120 °F plaster turns" in text and "°C" not in text
    assert visitor.form("cupboard_save")["warmth_f"] == "122"
    assert "in the drying cupboard" in visitor.open(f"moulds/{shop.ids['form']}/")
    visitor.open("workshop/racks/")
    visitor.send("cupboard_save", none="on")
    assert "in the drying cupboard" not in visitor.open(f"moulds/{shop.ids['form']}/")


def test_what_is_missing_or_cannot_be_is_refused(shop: Shop) -> None:
    version = Studio.objects.get(pk=shop.studio.pk).version
    half = shop.refused(422, "cupboard_save", version=version, warmth_c=35)
    assert "humidity_pct" in half.errors
    assert "warmth_c" in shop.refused(422, "cupboard_save", version=version, humidity_pct=35).errors
    assert "from 0 to 60" in shop.refused(
        422, "cupboard_save", version=version, warmth_c=90, humidity_pct=35).errors["warmth_c"]  # fmt: skip
    shop.refused(404, "cupboard_save", version=version, warmth_c=35, humidity_pct=35, forms=["nosuch"])
    shop.refused(409, "cupboard_save", version=version + 1, warmth_c=35, humidity_pct=35)
    shop.refused(403, "cupboard_save", by=shop.maker(), version=version, warmth_c=35, humidity_pct=35)
