"""A glaze's page: what is in the bucket, thinner or thicker, tiles, grams on a piece, and what is on file for food."""

from __future__ import annotations

import re
from math import pi
from typing import Any

import pytest

from studio import units
from studio.models import Fact
from tests.pages.visitor import Visitor, check_door
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db
LAB = {"laboratory": "Assay House", "tested": "3 mugs, glost", "reference": "AH 4471", "result": "within"}


@pytest.fixture
def page(shop: Shop) -> str:
    return f"workshop/glazes/{shop.ids['glaze']}/"


def mix(shop: Shop, **more: Any) -> str:
    said = {"glaze": shop.ids["glaze"], "bucket_l": "10", "hundred": "150", "recipe": "page 12", **more}
    shop.later(minutes=1)
    return shop.do("glaze_mixed", **said).data["glaze_batch"]


def test_the_door(shop: Shop, page: str) -> None:
    check_door(page, shop)


def test_a_batch_is_put_in_weighed_and_used_up(shop: Shop, visitor: Visitor, page: str) -> None:
    assert "No batch of this glaze is on record" in visitor.open(page)
    text = visitor.send("glaze_mixed", bucket_l="10", hundred="150", recipe="page 12")
    assert "10 l left" in text and "8.12 kg" in text  # 10 × 812.5 g: a handbook's table after Brongniart
    text = visitor.send("glaze_weighed", bucket_l="9", hundred="140")
    assert "9 l left" in text and "5.85 kg" in text  # 9 × 650 g, from the same table
    text = visitor.send("glaze_used_up")
    assert "No batch of this glaze is on record" in text and "1 batch used up" in text
    assert visitor.form("glaze_mixed")["recipe"] == "page 12"  # and the next one begins with the recipe of the last


def test_what_was_glazed_since_is_taken_off(shop: Shop, visitor: Visitor, page: str) -> None:
    mix(shop)
    shop.do("glaze_on_ware", glaze=shop.ids["glaze"], form=shop.ids["form"], count=2, bisqued_g=800, glazed_g=890)
    shop.do("opening_ware", form=shop.ids["form"], count=50, stage="bisqued")
    shop.do("glazed", form=shop.ids["form"], glaze=shop.ids["glaze"], count=50)
    text = visitor.open(page)
    # 50 × 45 g and a tenth of what is taken lost: 2500 g of 8125; 5625 / 812.5 = 6.92 l.
    assert "6.9 l left" in text and "5.62 kg" in text and "less what 50 pieces took since" in text
    assert visitor.form("glaze_weighed")["bucket_l"] == "6.9"


@pytest.mark.parametrize(
    ("to", "said"),
    [
        # 10 l at 1500: weighed again with w litres of water, (15 + w) / (10 + w) = 1.4 at w = 2.5
        ("140", "Stir in 2.5 l of water"),
        # (15 − w) / (10 − w) = 1.6 at w = 1.67; or x kg of dry glaze, (15 + x) / (10 + x / 2.6) = 1.6 at x = 2.6
        ("160", "take off 1.7 l of clear water, or stir in 2.60 kg of dry glaze"),
        ("150", "It is so already"),
        ("1.5", "Enter a number from 101 to 200"),
        ("thick", "Enter a number"),
    ],
)
def test_thinner_or_thicker(shop: Shop, visitor: Visitor, page: str, to: str, said: str) -> None:
    mix(shop)
    assert said in visitor.open(f"{page}?to={to}")


def test_without_a_weighing_a_usual_density_is_taken_and_said(shop: Shop, visitor: Visitor, page: str) -> None:
    mix(shop, hundred="")
    text = visitor.open(f"{page}?to=140")
    assert "not weighed" in text and "a usual 145 g is taken: common practice, no source" in text
    assert "Stir in" not in text and "7.31 kg" in text  # 10 × 2.6 × 450 / 1.6


def test_two_buckets_and_one_is_glazed_from(shop: Shop, visitor: Visitor, page: str) -> None:
    first = mix(shop, recipe="page 12")
    mix(shop, recipe="page 13")
    visitor.open(page)
    assert visitor.form("glaze_in_use")["glaze_batch"] == first
    visitor.send("glaze_in_use")
    assert visitor.form("glaze_used_up")["glaze_batch"] == first


def test_tiles_say_what_was_seen_with_its_usual_cause(shop: Shop, visitor: Visitor, page: str) -> None:
    mix(shop)
    visitor.open(page)
    assert "What is wrong with it?" in visitor.send("test_tile", verdict="bad")
    text = visitor.send("test_tile", verdict="bad", seen=["crazing"], note="inside only")
    assert "not good" in text and "the glaze shrinks more than the body" in text and "inside only" in text
    assert "Glost" in text and "page 12" in text
    undo = shop.do("test_tile", glaze=shop.ids["glaze"], verdict="good").undo
    assert visitor.open(page).count("not good") == 1
    shop.do("undo", command=undo)


def test_grams_on_a_piece_say_what_they_rest_on(shop: Shop, visitor: Visitor, page: str) -> None:
    text = visitor.open(page)
    # A bowl 150 wide, 80 on the shelf: 75 high; 2 π (75² + 75²) mm² = 707 cm², half a millimetre at 1.4 g/cm³: 49 g.
    assert "Bowl 49 g" in text and "Reckoned from its size" in text
    text = visitor.send("glaze_on_ware", form=shop.ids["form"], count="3", bisqued_g="930", glazed_g="1059")
    assert "Bowl 43 g" in text and "3 pieces weighed" in text
    soot = shop.do("glaze_save", name="Soot", programs=[shop.ids["glost"]]).data["glaze"]
    assert "3 pieces weighed in other glazes" in visitor.open(f"workshop/glazes/{soot}/")


def test_a_form_with_a_drawing_goes_by_its_surface(shop: Shop, visitor: Visitor, page: str) -> None:
    """A tub of 150 mm across and 100 high with a wall of 5, drawn twice as large: it is brought to the fired width."""
    lines = {"outer": [[0, 0], [150, 0], [150, 200]], "inner": [[0, 10], [140, 10], [140, 200]]}
    profile = {f"{k}_paste": "\n".join(f"{r} {z}" for r, z in v) for k, v in lines.items()}
    shop.do("profile_save", form=shop.ids["form"], size="mould", **profile)
    # π 75² + 2 π 75 × 100 outside, π (75² − 70²) rim, π 70² + 2 π 70 × 95 inside: 1242 cm², times 0.07 g: 87 g.
    assert "Bowl 87 g" in visitor.open(page)


def test_food_needs_a_laboratory_s_result_and_another_recipe_another_one(
    shop: Shop, visitor: Visitor, page: str
) -> None:
    mix(shop)
    assert "not tested for food" in visitor.open(page)
    text = visitor.send("food_result", **LAB)
    assert "tested for food: within the limits" in text and "AH 4471" in text and "by local law" in text
    assert "not tested" not in text
    mix(shop, recipe="page 12, other copper")
    text = visitor.open(page)
    assert "not tested for food by this recipe" in text and "ask the laboratory again" in text
    assert "not what counts for the batch in use" in text
    text = visitor.send("food_result", **LAB | {"result": "over", "reference": "AH 5000"})
    assert "over the limits: not for food" in text
    assert Fact.objects.filter(studio=shop.studio, kind="food_result").last().data["recipe"] == "page 12, other copper"


def test_a_maker_sees_the_file_and_puts_nothing_into_it(shop: Shop, page: str) -> None:
    maker = Visitor(shop, shop.maker())
    assert "An owner of the studio puts a laboratory’s result on file" in maker.open(page)
    assert "food_result" not in maker.page and "glaze_mixed" in maker.page


def test_every_page_that_names_the_glaze_says_that_it_is_not_tested(shop: Shop, visitor: Visitor) -> None:
    shop.order()
    shop.do("opening_ware", form=shop.ids["form"], count=12, stage="bisqued")
    live = shop.plan()
    glazing = live.when(min(t.start for t in live.plan.tasks if t.kind == "glaze"))
    shop.now = glazing
    pages = ("orders/", f"orders/{shop.ids['order']}/", "orders/new/", "when/", "unplanned/", "workshop/ware/",
             "workshop/glazes/", f"week/?from={glazing:%Y-%m-%d}", "?who=all")  # fmt: skip
    for page in pages:
        assert "not tested for food" in visitor.open(page), page
    shop.do("food_result", glaze=shop.ids["glaze"], on=f"{shop.now:%Y-%m-%d}", **LAB)
    for page in pages:
        assert "not tested for food" not in visitor.open(page).replace("until a laboratory", ""), page


def test_fired_ware_that_waits_to_be_sorted_says_so_too(shop: Shop, visitor: Visitor) -> None:
    shop.do("opening_ware", form=shop.ids["form"], glaze=shop.ids["glaze"], count=6, stage="fired")
    assert "6 × Bowl, Chalk stock not tested for food" in visitor.open("unplanned/")


def test_today_names_the_batch_and_lets_another_one_be_chosen(shop: Shop, visitor: Visitor) -> None:
    shop.order()
    shop.do("opening_ware", form=shop.ids["form"], count=12, stage="bisqued")
    first, _second = mix(shop), mix(shop, recipe="page 13")
    live = shop.plan()
    task = min((t for t in live.plan.tasks if t.kind == "glaze"), key=lambda t: t.start)
    shop.now = live.when(task.end)
    assert "from the batch mixed today" in visitor.open("?who=all") and "page 13" in visitor.text
    assert "Bucket of Chalk" in visitor.text
    visitor.send("task_done", {"task": task.id, "count": count_of(visitor, task.id)}, glaze_batch=first,
                 rest="to_do")  # fmt: skip
    assert Fact.objects.get(studio=shop.studio, kind="glazed").data["glaze_batch"] == first


def count_of(visitor: Visitor, task: str) -> str:
    """What stands in the field of the task's count."""
    found = re.search(rf'id="n-{task}"[^>]*value="(\d+)"', visitor.page)
    assert found is not None
    return found[1]


def test_a_task_says_that_the_bucket_holds_too_little(shop: Shop, visitor: Visitor) -> None:
    shop.order(qty=10)
    shop.do("opening_ware", form=shop.ids["form"], count=12, stage="bisqued")
    batch = mix(shop, bucket_l="0.5")
    live = shop.plan()
    task = min((t for t in live.plan.tasks if t.kind == "glaze"), key=lambda t: t.start)
    n = next(x.count for x in live.plan.lots if x.glaze == task.id)
    shop.now = live.when(task.start)
    # Half a litre of 812.5 g; a bowl by its size 49.5 g, and a tenth of what is taken lost.
    wanted = units.scale(n * 2 * pi * (75**2 + 75**2) / 100 * 0.05 * 1.4 / 0.9)
    said = f"the bucket holds 406 g of dry glaze and these take {wanted}: mix more first"
    assert said in visitor.open("?who=all")
    shop.do("glaze_weighed", glaze_batch=batch, bucket_l="5", hundred="150")
    assert "mix more first" not in visitor.open("?who=all")


def test_another_studio_has_none_of_it(shop: Shop, page: str) -> None:
    mix(shop)
    other = Shop(name="Next Door", now=shop.now).furnish()
    Visitor(other).open(page, status=404)


def test_quarts_in_a_studio_of_pounds(shop: Shop, page: str) -> None:
    shop.do("studio_save", name="Barn", time_zone="America/New_York", units="us", week="ordinary",
            version=shop.studio.version)  # fmt: skip
    visitor = Visitor(shop)
    visitor.open(page)
    text = visitor.send("glaze_mixed", bucket_l_qt="10", hundred="150")
    assert "10 qt left" in text and " l left" not in text and "16 lb 15.2 oz" in text  # 9.464 × 812.5 g = 7689 g


def test_what_happened_tells_of_glaze_in_words(shop: Shop, visitor: Visitor, page: str) -> None:
    batch, glaze = mix(shop), shop.ids["glaze"]
    second = mix(shop, recipe="page 13")
    shop.do("glaze_in_use", glaze_batch=batch)
    shop.do("glaze_weighed", glaze_batch=batch, bucket_l="9", hundred="145")
    shop.do("glaze_used_up", glaze_batch=second)
    shop.do("glaze_on_ware", glaze=glaze, form=shop.ids["form"], count=2, bisqued_g=800, glazed_g=890)
    shop.do("test_tile", glaze=glaze, verdict="bad", seen=["run"])
    shop.do("food_result", glaze=glaze, on=f"{shop.now:%Y-%m-%d}", **LAB)
    text = visitor.open("record/")
    for line in ("Chalk mixed: 10 l, 100 ml of it 150 g", "Chalk: another batch in use", "Chalk: a batch used up",
                 "Chalk weighed: 9 l, 100 ml of it 145 g", "2 × Bowl weighed with Chalk on: 45 g each",
                 "A test tile of Chalk: not good, it ran", "Chalk within the limits by Assay House"):  # fmt: skip
        assert line in text
    assert "cannot be made out" not in text
