"""Which moulds to replace when: lives from the record, the sentence, the picture and its table, and the tap."""

from __future__ import annotations

import datetime as dt
import re
from math import exp, log
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.craft.survival import Life, Stated, lasts, learned
from studio.models import Cast, Mould
from studio.queries.life_picture import life_picture
from studio.queries.mould_lives import life_in, mould_lives
from tests.pages.visitor import Visitor, check_door
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


def worn_shop(shop: Shop, uses: int = 80, qty: int = 60) -> Shop:
    """The eight moulds of bowls put away unused, eight others with many uses behind them, and a big order."""
    for mould in Mould.objects.filter(studio=shop.studio):
        shop.do("mould_retired", mould=mould.public_id)
    shop.do("mould_add", form=shop.ids["form"], count=8, uses_before=uses)
    shop.order(qty=qty, days=20)
    shop.plan()
    return shop


def test_the_door(shop: Shop) -> None:
    check_door("moulds/lives/", shop)


def test_lives_are_read_from_the_record(shop: Shop) -> None:
    """Cracked after two pressings, put away after one, one lifted by mistake, and one that came used."""
    shop.do("mould_add", form=shop.ids["form"], count=1, uses_before=40)
    by_number = {m.number: m for m in Mould.objects.filter(studio=shop.studio)}
    for moulds in (["1", "2"], ["1", "9"]):
        ids = [by_number[int(n)].public_id for n in moulds]
        ware = shop.do("pressed", form=shop.ids["form"], count=2, moulds=ids).data["batch"]
        shop.later(hours=24)
        shop.do("taken_out", batch=ware)
        shop.later(hours=72)
    shop.do("mould_cracked", mould=by_number[1].public_id)
    shop.do("mould_retired", mould=by_number[2].public_id)
    lives = {n: life_in(m, shop.state) for n, m in by_number.items()}
    assert lives[1] == Life(2, True) and lives[2] == Life(1, True)
    assert lives[3] == Life(0, False) and lives[9] == Life(41, False, entered=40)
    by_number[3].retired_at = shop.now  # as the follow-up of an undone lift leaves it: in no fact
    assert life_in(by_number[3], shop.state) is None


def test_the_sentence_says_what_the_curve_says(shop: Shop, visitor: Visitor) -> None:
    """Worked out apart from the page: pressings planned, spread over eight moulds, on the stated life of 90 uses."""
    worn_shop(shop)
    view = mould_lives(shop.studio, shop.now, 4).forms[0]
    live = shop.plan()
    planned = sum(b.count for b in live.plan.batches if b.press)
    assert view.uses >= planned and view.each == -(-view.uses // 8)
    stated = Stated(usual=90)
    curve = learned([Life(80, False, 80)] * 8 + [Life(0, True)] * 8, stated)
    worn = 8 * (1 - lasts(curve, 80, view.each))
    assert view.worn == round(worn) and view.n == 8
    # By hand, without the record: (80 + each) and 80 uses on a Weibull life of shape 2.5 and median 90.
    by_hand = 8 * (1 - exp(log(2) * ((80 / 90) ** 2.5 - ((80 + view.each) / 90) ** 2.5)))
    assert worn == pytest.approx(by_hand, abs=0.6)
    text = visitor.open("moulds/lives/")
    by = (shop.now + dt.timedelta(days=28)).date()
    assert f"{view.worn} of 8 will likely be worn by Monday 12 April: pour {view.pour} by Friday 2 April" in text
    assert by == dt.date(2027, 4, 12) and view.pour >= view.worn


def test_a_tap_puts_the_pouring_among_the_work(shop: Shop, visitor: Visitor) -> None:
    view = mould_lives(worn_shop(shop).studio, shop.now, 4).forms[0]
    visitor.open("moulds/lives/")
    visitor.send("cast_save")
    rows = Cast.objects.filter(studio=shop.studio)
    assert rows.count() == view.pour and all(c.required for c in rows)
    assert "those that are being made are enough" in visitor.text
    maker = Visitor(shop, shop.maker())
    assert "How long they last" in maker.open("moulds/lives/")


def test_a_maker_is_told_and_asks_an_owner(shop: Shop) -> None:
    worn_shop(shop)
    maker = Visitor(shop, shop.maker())
    assert "An owner puts the pouring among the work" in maker.open("moulds/lives/")
    with pytest.raises(AssertionError, match="no form for cast_save"):
        maker.form("cast_save")


def test_soon_it_is_too_late_for_a_day_to_be_told(shop: Shop, visitor: Visitor) -> None:
    worn_shop(shop, uses=85, qty=40)
    text = visitor.open("moulds/lives/?weeks=2")
    assert "pour" in text and "by Friday." in text  # the 19th, ten days before the 29th
    monday = mould_lives(shop.studio, shop.now, 1).forms[0]
    assert monday.late and "as soon as you can" in monday.said  # a week ahead, ten days before is past
    assert visitor.open("moulds/lives/?weeks=99").count("4 weeks") == 1


def test_moulds_past_their_stated_uses_count_as_worn(shop: Shop, visitor: Visitor) -> None:
    worn_shop(shop, uses=20, qty=20)
    shop.do("mould_add", form=shop.ids["form"], count=2, uses_before=90)
    view = mould_lives(shop.studio, shop.now, 4).forms[0]
    assert (view.n, view.past) == (10, 2) and view.worn >= 2 and view.pour >= 2
    assert "2 have had the uses stated of them" in visitor.open("moulds/lives/")


def test_without_a_plan_nothing_is_foretold(shop: Shop, visitor: Visitor) -> None:
    text = visitor.open("moulds/lives/")
    assert "Without a plan nobody knows" in text and "likely be worn" not in text
    assert "None of its 8 moulds has ended yet" in text


def test_the_table_says_what_the_picture_shows(shop: Shop, visitor: Visitor) -> None:
    worn_shop(shop)
    visitor.open("moulds/lives/")
    rows = re.findall(r'<tr><th scope="row">(\d+)</th><td>(\d+) %</td><td>(\d+) %</td><td>([^<]*)</td>', visitor.page)
    stated = Stated(usual=90)
    assert [int(r[2]) for r in rows] == [round(100 * stated.lasting(int(r[0]))) for r in rows]
    # Of the eight watched from new all ended at no use: the record alone says that none lasts.
    assert rows[0][0] == "0" and rows[0][3].startswith("0 %")
    ticks = re.findall(r'text-anchor="middle">(\d+)</text>', visitor.page)
    assert ticks == [r[0] for r in rows] and visitor.page.count("<circle") == 8


def test_the_picture_stays_in_its_frame() -> None:
    curve, stated = learned([Life(1900, False)]), Stated()
    drawn = life_picture(curve, stated, [], (1900,))
    numbers = [float(x) for x in re.findall(r"-?\d+\.?\d*", drawn.learned + drawn.stated)]
    assert all(0 <= x <= 360 for x in numbers) and drawn.marks[0][0] <= 350
    assert len(drawn.learned) < 2500


@settings(max_examples=6, deadline=None)
@given(st.integers(0, 10**6), st.floats(60, 120))
def test_a_studio_s_own_life_is_found_though_another_was_stated(seed: int, usual: float) -> None:
    """120 moulds, every third still good: the median is within 0.3 in ln, four standard errors of 1.25 × 0.51 / √80."""
    chance = Random(seed)
    lives = []
    for _ in range(120):
        true = round(usual * (-log(chance.random()) / log(2)) ** (1 / 2.5))
        watched = round(usual * chance.uniform(0.6, 2.2))
        lives.append(Life(min(true, watched), true <= watched))
    curve = learned(lives, Stated(usual=90))
    half = next(u for u in range(600) if curve.beyond(u) <= 0.5)
    assert abs(log(half / usual)) < 0.3


def test_how_we_reckon_tells_the_studio_s_own(shop: Shop, visitor: Visitor) -> None:
    assert "No mould has ended yet" in visitor.open("workshop/reckoning/")
    shop.do("mould_mix", form=shop.ids["form"], ml=4229)
    ware = shop.do("pressed", form=shop.ids["form"], count=8).data["batch"]
    shop.do("taken_out", batch=ware)
    shop.do("mould_cracked", form=shop.ids["form"])
    text = visitor.open("workshop/reckoning/")
    assert "Plaster of one mould: Bowl 4.2 l." in text and "Moulds of Bowl: 1 of 8 moulds has ended" in text
    assert "of 0 forms the spare was measured; else 10 % of the ball. 80 % of it" in text
