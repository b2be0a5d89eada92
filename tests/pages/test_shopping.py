"""The shopping list: what the plan still takes, against what is there, each line with what it rests on."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import pytest

from studio.models import Fact, Studio
from studio.queries.plans import Live
from tests.pages.visitor import Visitor, check_door
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db
ALL = "shopping/?for=all"


def mix(shop: Shop, litres: str = "10", hundred: str = "150") -> str:
    said = {"glaze": shop.ids["glaze"], "bucket_l": litres, "hundred": hundred}
    return shop.do("glaze_mixed", **said).data["glaze_batch"]


def pressed_in(live: Live) -> int:
    return sum(b.count for b in live.plan.batches if b.press)


def test_the_door(shop: Shop) -> None:
    check_door("shopping/", shop)


def test_without_a_plan_it_says_so(shop: Shop, visitor: Visitor) -> None:
    assert "No plan yet" in visitor.open("shopping/")


def test_clay_goes_by_the_balls_that_are_pressed(shop: Shop, live: Live, visitor: Visitor) -> None:
    text = visitor.open(ALL)
    n = pressed_in(live)
    # Balls of 560 g (a bowl of the table) and a tenth for safety, by hand.
    assert f"{n} × Bowl: balls of 560 g" in text
    assert f"Needed {n * 0.56:.1f} kg" in text and f"get {n * 0.56 * 1.1:.1f} kg" in text
    assert "what is there is not on record" in text


def test_clay_that_is_there_is_taken_off_and_enough_is_said(shop: Shop, visitor: Visitor) -> None:
    body = shop.do("clay_save", name="Stoneware").data["clay"]
    shop.do("clay_in", body=body, kg="5", how="delivered")
    shop.order(qty=10)
    n = pressed_in(shop.plan())
    text = visitor.open(ALL)
    assert "Stoneware" in text and "there 5.0 kg" in text
    assert f"get {n * 0.56 * 1.1 - 5:.1f} kg" in text
    shop.do("clay_in", body=body, kg="100", how="delivered")
    assert "there 105.0 kg" in visitor.open(ALL) and "enough" in visitor.text


def test_glaze_goes_by_pieces_and_grams_with_what_is_lost(shop: Shop, live: Live, visitor: Visitor) -> None:
    n = sum(x.count for x in live.plan.lots)
    text = visitor.open(ALL)
    assert f"{n} × Bowl: 49 g each, reckoned from its size" in text  # half a millimetre on 707 cm²: 49.5 g
    shop.do("glaze_on_ware", glaze=shop.ids["glaze"], form=shop.ids["form"], count=3, bisqued_g=930, glazed_g=1065)
    text = visitor.open(ALL)
    dry = n * 45 / 0.9  # 45 g on each, a tenth of what is taken lost on floor and sponge
    assert f"{n} × Bowl: 45 g each, 3 pieces weighed" in text
    assert f"Needed {dry / 1000:.1f} kg dry" in text and f"mix {dry * 1.1 / 1000:.1f} kg dry" in text
    mix(shop)
    text = visitor.open(ALL)
    assert "there 8.1 kg dry, 10 l" in text and "enough" in text  # 10 × 812.5 g
    assert f"Needed {dry / 1000:.1f} kg dry, {dry / 812.5:.2f} l" in text


def test_a_bucket_that_is_used_up_is_not_there(shop: Shop, live: Live, visitor: Visitor) -> None:
    batch = mix(shop)
    shop.do("glaze_used_up", glaze_batch=batch)
    assert "there 0.0 kg dry" in visitor.open(ALL)


def test_a_glaze_that_is_not_tested_for_food_says_so_here_too(shop: Shop, live: Live, visitor: Visitor) -> None:
    assert "not tested for food" in visitor.open(ALL)


def test_plaster_goes_by_the_mix_else_by_the_moulds_else_by_the_ball(shop: Shop, visitor: Visitor) -> None:
    shop.do("cast_save", form=shop.ids["form"], count=2, required=True)
    shop.order(qty=10)
    shop.plan()
    # 3 × 560 g when dry, / 1.18618 by stoichiometry, 8 % waste: 1530 g each; two, and a tenth.
    text = visitor.open(ALL)
    assert "2 × Bowl: 1.5 kg each, three times the ball when dry: common practice" in text
    assert "Needed 3.1 kg" in text and "get 3.4 kg" in text


def test_energy_goes_by_the_kiln_s_figures_and_has_a_price_if_one_is_told(
    shop: Shop, live: Live, visitor: Visitor
) -> None:
    text = visitor.open(ALL)
    firings = [f for f in live.plan.firings if f.fire is not None]
    bisque = sum(f.program == shop.ids["bisque"] for f in firings)
    kwh = 65 * bisque + 105 * (len(firings) - bisque)
    assert f"{kwh} kWh in all" in text and "as put in for this kiln" in text and "some" not in part_of_energy(text)
    shop.do("kwh_price", version=Studio.objects.get(pk=shop.studio.pk).version, price="0.30", money="£")
    assert f"{kwh} kWh in all, some £{kwh * 0.3:.2f}" in visitor.open(ALL)


def part_of_energy(text: str) -> str:
    return text[text.index(" Energy ") : text.index("To what is needed")]


def balls_on(text: str) -> int:
    return sum(int(n) for n in re.findall(r"(\d+) × Bowl: balls", text))


def test_only_what_starts_in_time_is_counted(shop: Shop, visitor: Visitor) -> None:
    shop.order(qty=30, days=21)  # of eight moulds, so that it takes several days
    live = shop.plan()
    starts = {b.id: live.when(live.plan.task[b.press].start) for b in live.plan.batches if b.press}
    shop.now = min(starts.values()).replace(hour=0) - dt.timedelta(days=5)  # the first of the pressing is within a week
    end = shop.now + dt.timedelta(days=7)
    soon = sum(b.count for b in live.plan.batches if b.press and starts[b.id] < end)
    assert 0 < soon < pressed_in(live)
    assert balls_on(visitor.open("shopping/")) == soon
    assert balls_on(visitor.open(ALL)) == pressed_in(live)


def test_what_is_done_is_counted_no_more(shop: Shop, live: Live, visitor: Visitor) -> None:
    batch = min((b for b in live.plan.batches if b.press), key=lambda b: live.plan.task[b.press].start)
    shop.now = live.when(live.plan.task[batch.press].end)
    shop.do("task_done", task=batch.press)
    assert balls_on(visitor.open(ALL)) == pressed_in(live) - batch.count


def test_unknown_words_in_the_address_mean_a_week(shop: Shop, live: Live, visitor: Visitor) -> None:
    assert visitor.open("shopping/?for=ever") == visitor.open("shopping/")
    assert "from Mon 15 Mar to Sun 21 Mar" in visitor.text


def test_odd_figures_on_record_do_no_harm(shop: Shop, live: Live, visitor: Visitor) -> None:
    """A bucket of a millilitre, and a weighing corrected to what cannot be on one piece."""
    batch = mix(shop)
    said = {"glaze": shop.ids["glaze"], "form": shop.ids["form"], "count": 1, "bisqued_g": 400, "glazed_g": 440}
    fact = shop.do("glaze_on_ware", **said).data["facts"][0]
    shop.do("correct", fact=fact, data={"bisqued_g": 1, "glazed_g": 100_000})
    mixed = Fact.objects.get(studio=shop.studio, kind="glaze_mixed", data__glaze_batch=batch)
    shop.do("correct", fact=mixed.public_id, data={"ml": 1, "g_l": 2000})
    assert "49 g each, reckoned from its size" in visitor.open(ALL)
    visitor.open(f"workshop/glazes/{shop.ids['glaze']}/?to=101")


def test_pounds_and_quarts(shop: Shop, live: Live) -> None:
    shop.do("studio_save", name="Barn", time_zone="America/New_York", units="us", week="ordinary",
            version=Studio.objects.get(pk=shop.studio.pk).version)  # fmt: skip
    text = Visitor(shop).open(ALL)
    assert " lb" in text and " qt" in text and " kg" not in text and " l " not in text.replace("half", "")


def test_another_studio_has_its_own(shop: Shop, live: Live, visitor: Visitor) -> None:
    other: Any = Shop(name="Next Door", now=shop.now).furnish()
    assert "No plan yet" in Visitor(other).open(ALL)
