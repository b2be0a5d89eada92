"""The shrinkage of a body: bars measured or figures told, kept with their basis, and reckoned with afterwards."""

from __future__ import annotations

from typing import Any

import pytest

from studio.models import ClayBody, Fact, Form
from studio.queries.bodies import body_of, shrinkage_of
from tests.pages.visitor import Visitor
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db
PAGE = "workshop/size/"


@pytest.fixture
def white(shop: Shop) -> str:
    return str(shop.do("clay_save", name="White stoneware").data["clay"])


def found(shop: Shop) -> Any:
    return shrinkage_of(shop.studio, body_of(shop.studio, Form.objects.get(public_id=shop.ids["form"])))


def test_without_any_it_is_the_usual_one(shop: Shop, white: str) -> None:
    assert (found(shop).name, found(shop).total_pct) == ("White stoneware", pytest.approx(12))
    assert "common practice" in found(shop).source


def test_a_bar_worked_out_on_the_page_is_kept_and_reckoned_with(shop: Shop, visitor: Visitor, white: str) -> None:
    visitor.open(f"{PAGE}?way=bar&wet_mm=100&dry_mm=94&fired_mm=86.5")
    text = visitor.send("shrinkage_bar")
    assert "White stoneware: 13.5 % in all, 6.0 % of it in drying." in text
    data = Fact.objects.get(studio=shop.studio, kind="shrinkage").data
    assert (data["wet"], data["dry"], data["fired"], data["basis"]) == (10_000, 9400, 8650, "dry")
    visitor.open(f"{PAGE}?form={shop.ids['form']}")
    assert 'name="total_pct" type="number" value="13.5"' in visitor.page
    text = visitor.open(f"{PAGE}?form={shop.ids['form']}&way=model&size_mm=173")
    assert "Turn the model 200.0 mm" in text  # 173 / 0.865


def test_bars_are_averaged_and_an_undo_takes_one_back(shop: Shop, white: str) -> None:
    shop.do("shrinkage_bar", clay=white, wet_mm="100", dry_mm="94", fired_mm="87")
    second = shop.do("shrinkage_bar", clay=white, wet_mm="100", dry_mm="94", fired_mm="86")
    assert found(shop).total_pct == pytest.approx(13.5) and "by 2 bars, 13.0 to 14.0 % in all" in found(shop).source
    shop.do("undo", command=second.undo)
    assert found(shop).total_pct == pytest.approx(13) and found(shop).source == "by one bar"


def test_figures_told_keep_their_basis_and_bars_count_before_them(shop: Shop, white: str) -> None:
    """6 % in drying and 6 % of the fired length: 94 mm dry, 94 / 1.06 = 88.68 mm fired, 11.32 % in all."""
    shop.do("shrinkage_said", clay=white, drying_pct="6", firing_pct="6", basis="fired")
    assert Fact.objects.get(kind="shrinkage").data["basis"] == "fired"
    assert found(shop).total_pct == pytest.approx(100 - 94 / 1.06) and found(shop).told
    shop.do("shrinkage_said", clay=white, drying_pct="5", total_pct="11")
    assert (found(shop).total_pct, found(shop).drying_pct) == (pytest.approx(11), pytest.approx(5))
    shop.do("shrinkage_bar", clay=white, wet_mm="100", dry_mm="94", fired_mm="87")
    assert found(shop).total_pct == pytest.approx(13)


def test_each_form_goes_by_its_own_body(shop: Shop, white: str) -> None:
    black = shop.do("clay_save", name="Black").data["clay"]
    shop.do("shrinkage_said", clay=black, drying_pct="7", total_pct="14")
    assert found(shop).total_pct == pytest.approx(12)
    form = Form.objects.get(public_id=shop.ids["form"])
    shop.do("form_clay", form=form.public_id, version=form.version, clay=black)
    assert (found(shop).name, found(shop).total_pct) == ("Black", pytest.approx(14))


def test_in_a_studio_without_a_clay_it_gets_its_name_there(shop: Shop, visitor: Visitor) -> None:
    visitor.open(f"{PAGE}?way=bar&wet_mm=100&dry_mm=94&fired_mm=88")
    visitor.send("shrinkage_bar", clay_name="Grogged")
    assert ClayBody.objects.get(studio=shop.studio).name == "Grogged"
    assert found(shop).name == "Grogged"


def test_inches_are_kept_as_millimetres(shop: Shop, white: str) -> None:
    shop.do("shrinkage_bar", clay=white, wet_inch="4", dry_inch="3.76", fired_inch="3.52")
    assert Fact.objects.get(kind="shrinkage").data["wet"] == 10_160
    assert found(shop).total_pct == pytest.approx(12, abs=0.01)


def test_how_we_reckon_tells_it_with_what_it_rests_on(shop: Shop, visitor: Visitor, white: str) -> None:
    assert "White stoneware: shrinks 12.0 % of the wet length in all, 6.0 % in drying (common practice" in (
        visitor.open("workshop/reckoning/"))  # fmt: skip
    shop.do("shrinkage_bar", clay=white, wet_mm="100", dry_mm="94", fired_mm="87")
    text = visitor.open("workshop/reckoning/")
    assert "White stoneware: shrinks 13.0 %" in text and "(by one bar)" in text and "after 1000 pressings" in text


def test_it_stands_in_what_happened(shop: Shop, visitor: Visitor, white: str) -> None:
    shop.do("shrinkage_bar", clay=white, wet_mm="100", dry_mm="94", fired_mm="87")
    assert "A shrinkage bar of White stoneware measured" in visitor.open("record/")


@pytest.mark.parametrize(
    ("kind", "said", "field"),
    [
        ("shrinkage_bar", {"wet_mm": "100", "dry_mm": "104", "fired_mm": "87"}, "dry_mm"),
        ("shrinkage_bar", {"wet_mm": "100", "dry_mm": "94"}, "fired_mm"),
        ("shrinkage_bar", {"wet_mm": "none", "dry_mm": "94", "fired_mm": "87"}, "wet_mm"),
        ("shrinkage_said", {"drying_pct": "8", "total_pct": "6"}, "drying_pct"),
        ("shrinkage_said", {"drying_pct": "6"}, "total_pct"),
        ("shrinkage_said", {"drying_pct": "nan", "total_pct": "12"}, "drying_pct"),
    ],
)
def test_what_cannot_be_is_refused_by_field(
    shop: Shop, white: str, kind: str, said: dict[str, str], field: str
) -> None:
    assert field in shop.refused(422, kind, clay=white, **said).errors


def test_another_studio_s_clay_is_not_found(shop: Shop, white: str) -> None:
    other = Shop(name="Next Door", now=shop.now).furnish()
    other.refused(404, "shrinkage_bar", clay=white, wet_mm="100", dry_mm="94", fired_mm="87")
