"""Each mould is ready by its own record: of its uses, and of what the scale said."""

from __future__ import annotations

import datetime as dt
import random
from math import exp, log

import pytest

from studio.models import FormTimings, Mould
from studio.translate import scenario_at
from studio.translate.moulds_water import LEAST, MOST, Waters, own_dry_g, waters_of
from tests.services.shop import Shop

REST = 14 * 60  # minutes; a bowl's mould in an ordinary week: common practice, no source
DRY_G = 1700


def moulds(shop: Shop) -> list[Mould]:
    return list(Mould.objects.filter(studio=shop.studio).select_related("form").order_by("number"))


def waters(shop: Shop) -> Waters:
    shop.studio.refresh_from_db()
    return waters_of(shop.studio, shop.state)


def minute(shop: Shop) -> int:
    return int(shop.now.timestamp()) // 60


def use(shop: Shop, mould: Mould, hours: float = 8) -> None:
    batch = shop.do("pressed", form=shop.ids["form"], count=1, moulds=[mould.public_id]).data["batch"]
    shop.later(hours=hours)
    shop.do("taken_out", batch=batch)


def rest_of(shop: Shop, mould: Mould) -> int:
    """Minutes from the last emptying to when it is ready; the scenario says the same."""
    ready = waters(shop).of(mould, minute(shop)).ready
    emptied = shop.state.moulds[mould.public_id].emptied
    assert ready is not None and emptied is not None
    told = scenario_at(shop.studio, shop.now).scenario.mould[mould.public_id].ready
    assert told == ready - minute(shop)
    return ready - emptied


def weigh(shop: Shop, mould: Mould, grams: float, dry: bool = False) -> str:
    return shop.do("weighed", mould=mould.public_id, grams=round(grams), dry=dry).message


@pytest.mark.parametrize("week", ["ordinary", "damp", "dry"])
def test_in_a_steady_rhythm_it_is_ready_after_the_rest_of_the_form(shop: Shop, week: str) -> None:
    """By the proof at craft.moulds.sustainable_rest_h: what is ready at the limit stays there."""
    shop.do("week_set", week=week)
    shop.studio.refresh_from_db()
    mould, rest = moulds(shop)[0], scenario_at(shop.studio, shop.now).scenario.form[shop.ids["form"]].mould_rest
    for _ in range(11):
        use(shop, mould)
        assert rest_of(shop, mould) == pytest.approx(rest, abs=25)
        shop.later(minutes=rest_of(shop, mould) + 14)  # pressing begins that many minutes before it is told
    assert len(shop.state.moulds[mould.public_id].turns) == 8


def test_a_rested_mould_is_ready_sooner_and_one_pressed_too_early_later(shop: Shop) -> None:
    rested, soaked = moulds(shop)[:2]
    for _ in range(3):
        use(shop, soaked, hours=7)
        shop.later(hours=3)
    later = rest_of(shop, soaked)
    shop.later(days=5)
    use(shop, rested)
    sooner = rest_of(shop, rested)
    assert LEAST * REST <= sooner < 0.8 * REST
    assert waters(shop).of(rested, minute(shop)).word == "damp"  # as long as it is not ready
    shop.later(minutes=sooner)
    assert waters(shop).of(rested, minute(shop)).word == "dry"
    assert REST < later <= MOST * REST


def test_time_that_only_passes_moves_no_mould(shop: Shop) -> None:
    mould = moulds(shop)[0]
    use(shop, mould)
    before = waters(shop).of(mould, minute(shop)).ready
    for hours in (1, 7, 100):
        shop.later(hours=hours)
        assert waters(shop).of(mould, minute(shop)).ready == before


def test_a_rest_out_of_range_of_the_craft_is_kept_to(shop: Shop) -> None:
    mould = moulds(shop)[0]
    for rest in (0, 10, 80_000):
        FormTimings.objects.filter(form=mould.form).update(mould_rest_min=rest)
        use(shop, mould)
        assert rest_of(shop, mould) == rest


def dried(free: float, rate: float, hours: float) -> float:
    return DRY_G + free * exp(-rate * hours)


def test_a_studio_whose_moulds_dry_slowly_is_learned_from_weighings_and_taught_to_the_others(shop: Shop) -> None:
    """Moulds that lose half as much an hour as the usual ones, simulated, on a scale that errs by 2 g."""
    known = waters(shop)._craft(moulds(shop)[0])
    assert known is not None
    chance, rate = random.Random(1), known.rate_per_h / 2
    many = moulds(shop)
    for mould in many[:6]:
        weigh(shop, mould, DRY_G, dry=True)
    shop.later(hours=1)
    use(shop, many[-1])
    usual = rest_of(shop, many[-1])
    shop.later(hours=30)
    for mould in many[:6]:
        use(shop, mould)
        for hours in (0, 20, 20):
            shop.later(hours=hours)
            weigh(shop, mould, dried(100, rate, 20 * len(shop.state.moulds[mould.public_id].grams) - 20)
                  + chance.gauss(0, 2))  # fmt: skip
    found = waters(shop)
    own = found._calibrated(many[0], known)[0].rate_per_h
    assert own == pytest.approx(rate, rel=0.25)
    other = found.of(many[-1], minute(shop))
    assert other.weighings == 0 and other.others >= 6
    assert rest_of(shop, many[-1]) > 1.2 * usual


def test_two_weighings_calibrate_a_mould_and_its_scale_has_the_last_word(shop: Shop) -> None:
    mould = moulds(shop)[0]
    known = waters(shop)._craft(mould)
    assert known is not None
    assert "dry" in weigh(shop, mould, DRY_G, dry=True)
    shop.later(hours=1)
    for _ in range(8):
        use(shop, mould, hours=1)
    grams = round(7 * known.uptake_g)
    weigh(shop, mould, DRY_G + grams)
    at = minute(shop)
    water = waters(shop).of(mould, at)
    limit = waters(shop)._craft(mould)
    assert limit is not None
    assert (water.word, water.weighings) == ("damp", 2)
    assert water.damp == pytest.approx(grams / limit.ready_g)
    # First-order law: from what the scale says to the limit, ln(from / to) / rate, whatever the uses before were.
    rate = waters(shop)._calibrated(mould, limit)[0].rate_per_h
    hours = log(grams / limit.ready_g) / rate
    expected = min(MOST * REST, max(LEAST * REST, hours * 60))
    assert water.ready == pytest.approx(at + expected, abs=2)


def test_an_odd_weighing_is_named_and_not_gone_by(shop: Shop) -> None:
    mould = moulds(shop)[0]
    weigh(shop, mould, DRY_G, dry=True)
    shop.later(hours=1)
    use(shop, mould)
    before = waters(shop).of(mould, minute(shop)).ready
    shop.later(hours=1)
    assert "far from what its record says" in weigh(shop, mould, 7100)  # 1710 with its figures mixed up
    water = waters(shop).of(mould, minute(shop))
    assert water.odd == ((minute(shop), 7100),)
    assert water.ready == before
    assert "can be pressed" in weigh(shop, mould, DRY_G + 3)  # the same minute: the last figure counts
    assert waters(shop).of(mould, minute(shop)).odd == ()


def test_without_a_dry_weight_a_weighing_changes_nothing(shop: Shop) -> None:
    mould = moulds(shop)[0]
    use(shop, mould)
    before = waters(shop).of(mould, minute(shop))
    assert "when it is dry" in weigh(shop, mould, 1730)
    assert waters(shop).of(mould, minute(shop)) == before


def test_a_new_mould_at_constant_weight_is_ready_before_its_first_day(shop: Shop) -> None:
    mould = moulds(shop)[0]
    Mould.objects.filter(pk=mould.pk).update(ready_from=shop.now + dt.timedelta(days=8))
    mould = moulds(shop)[0]
    wet = waters(shop).of(mould, minute(shop))
    assert (wet.word, wet.constant) == ("wet", False)
    weigh(shop, mould, 2300)
    shop.later(hours=24)
    weigh(shop, mould, 2100)
    assert own_dry_g(shop.state.moulds[mould.public_id]) is None
    shop.later(hours=72)
    weigh(shop, mould, 1706)
    shop.later(hours=24)
    assert "constant weight" in weigh(shop, mould, 1702)
    water = waters(shop).of(mould, minute(shop))
    assert (water.ready, water.constant, water.word) == (minute(shop), True, "dry")
    assert own_dry_g(shop.state.moulds[mould.public_id]) == 1702
    assert scenario_at(shop.studio, shop.now).scenario.mould[mould.public_id].ready == 0


def test_the_dry_weight_of_a_filled_mould_is_refused(shop: Shop) -> None:
    mould = moulds(shop)[0]
    shop.do("pressed", form=shop.ids["form"], count=1, moulds=[mould.public_id])
    said = shop.refused(422, "weighed", mould=mould.public_id, grams=2300, dry=True)
    assert "pot in it" in said.message


def test_the_number_of_queries_does_not_go_with_the_moulds(shop: Shop, django_assert_num_queries) -> None:  # type: ignore[no-untyped-def]
    shop.do("mould_add", form=shop.ids["form"], count=60)
    for mould in moulds(shop)[:4]:
        use(shop, mould)
    state = shop.state
    with django_assert_num_queries(2):
        found = waters_of(shop.studio, state)
        assert len([found.of(m, minute(shop)) for m in found.rows]) == 68


def test_a_change_of_air_says_what_it_does_to_the_moulds(shop: Shop) -> None:
    assert "no mould ready later" in shop.do("week_set", week="ordinary").message
    for mould in moulds(shop)[:3]:
        use(shop, mould, hours=7)
    # Emptied at 15:14, 22:28 and 05:42 at the latest: 28 h of rest in a damp week, common practice, no source.
    said = shop.do("week_set", week="damp").message
    assert "3 moulds are ready later, the last " in said
    assert "moulds are ready sooner" in shop.do("week_set", week="ordinary").message
    assert "ready later" in shop.do("air_set", temperature_c=12, humidity_pct=85).message
