"""How many pieces orders take: what forms state, what the record shows, how sure of enough the studio wants to be."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.craft.loss import chance_enough, stated
from studio.models import FormTimings
from studio.translate import scenario_at
from studio.translate.allowing import EXACT, Way
from studio.translate.quantity import Standing, pieces_to_make, survival
from studio.translate.rows import Rows
from tests.services.shop import Shop
from tests.translate.test_orders import lose, stands

BELIEFS = (stated(0.04), stated(0.01), stated(0.04))
PLACES = st.lists(st.tuples(st.integers(0, 60), st.integers(1, 3)), max_size=6).map(
    lambda found: sorted(found, key=lambda p: p[1])
)


def way(sure: float | None = 0.95, *, known: bool = True) -> Way:
    return Way(BELIEFS, (4, 1, 4), (0, 0, 0), known, sure)


def own(shop: Shop) -> Way:
    return Rows(shop.studio).ways[shop.ids["form"]]


@given(st.integers(0, 80), PLACES)
@settings(max_examples=60, deadline=None)
def test_on_average_it_is_the_old_arithmetic(missing: int, standing: list[tuple[int, int]]) -> None:
    worth = {1: survival([4]), 2: survival([1, 4]), 3: survival([4, 1, 4])}
    old = pieces_to_make(missing, [Standing(n, worth[a]) for n, a in standing], worth[3])
    assert way(None, known=False).need(missing, standing) == old


@given(st.integers(1, 60), PLACES, st.sampled_from((0.8, 0.9, 0.95)))
@settings(max_examples=60, deadline=None)
def test_it_is_enough_as_surely_as_asked_and_a_fresh_piece_fewer_is_not(
    missing: int, standing: list[tuple[int, int]], sure: float
) -> None:
    """Against the chance itself, which tests/craft holds against scipy."""
    need = way(sure).need(missing, standing)
    at = [sum(t for t, (_n, a) in zip(need.taken, standing, strict=True) if a == 3 - i) for i in range(3)]
    assert need.qty == sum(need.taken) + need.fresh
    assert all(t <= n for t, (n, _a) in zip(need.taken, standing, strict=True))
    assert chance_enough(missing, (at[0] + need.fresh, *at[1:], 0), BELIEFS) >= sure
    if need.fresh:
        assert chance_enough(missing, (at[0] + need.fresh - 1, *at[1:], 0), BELIEFS) < sure


def test_the_allowance_shrinks_as_pieces_pass_the_stages() -> None:
    found = [way().need(24, [(200, ahead)]).qty for ahead in (3, 2, 1)]
    assert found == sorted(found, reverse=True) and len(set(found)) > 1 and found[-1] > 24


def test_very_many_are_reckoned_quickly_and_not_below_what_the_exact_way_says() -> None:
    began = time.perf_counter()
    many = way().need(100_000, [(50_000, 1)])
    assert time.perf_counter() - began < 5
    assert many.qty >= way(None).need(100_000, [(50_000, 1)]).qty
    assert way().need(EXACT + 1, ()).fresh > way().need(EXACT, ()).fresh


def test_a_form_that_loses_nearly_all_is_planned_all_the_same() -> None:
    hopeless = Way((stated(0.9),) * 3, (100, 100, 100), (0, 0, 0), True, 0.95)
    for missing in (1, 24, 5000):
        assert hopeless.need(missing, [(30, 1), (30, 3)]).qty >= missing


def test_a_studio_chooses_how_sure_it_wants_to_be(shop: Shop) -> None:
    lose(shop, 4, 1, 4)
    line = shop.order(qty=24)
    assert scenario_at(shop.studio, shop.now).scenario.order[line].qty == 27  # 24 ÷ 0.912384 = 26.3
    s = shop.studio
    answer = shop.do("studio_save", name=s.name, time_zone=s.time_zone, units=s.units, week=s.week, version=s.version,
                     enough="19of20")  # fmt: skip
    assert answer.status == 200
    s.refresh_from_db()
    # 3 + 1 + 1 pieces lost of 25 each are all that is known, so it takes more than the binomial's 30 for one in ten.
    assert scenario_at(s, shop.now).scenario.order[line].qty == 31
    shop.do("studio_save", name=s.name, time_zone=s.time_zone, units=s.units, week=s.week, version=s.version)
    s.refresh_from_db()
    assert s.enough == "19of20"  # a form that does not ask leaves it


def test_what_is_lost_is_learned_from_the_days_before_the_last(shop: Shop) -> None:
    """22 of a hundred lost in the glost against 4 % stated: with the weight of 25 pieces (0.04 × 25 + 22) ÷ 125 =
    0.184, with less, as such a record makes likelier, nearer to 0.22."""
    lose(shop, 4, 1, 4)
    line = shop.order(qty=90)
    for _i in range(4):
        stands(shop, 25, "fired", line)
    assert own(shop).shares == (0.04, 0.01, 0.04) and not own(shop).known
    for ware in list(shop.state.ware.values()):
        shop.do("pots_lost", ware=ware.id, count=3, where="sorting", why="")
    shop.do("sorted", order=line, firsts=78, seconds=10, lost=0)
    assert not own(shop).known  # of today: tomorrow it counts
    shop.later(days=1)
    stands(shop, 1, "bisqued")
    assert own(shop).came == (0, 0, 100)
    assert 0.184 <= own(shop).shares[2] < 0.22


def test_another_form_speaks_in_proportion_until_a_form_has_its_own_history(shop: Shop) -> None:
    """What lost twice what it states makes a new form of other stated losses expect more than it states."""
    lose(shop, 4, 1, 4)
    bowl = shop.ids["form"]
    other = shop.do("form_new", name="Plate", shape="dinner_plate", fired_mm=265, foot="mould", moulds=4).data["form"]
    percents = {f: FormTimings.objects.filter(studio=shop.studio, form__public_id=f).last() for f in (bowl, other)}
    assert percents[other].loss_glost_pct > percents[bowl].loss_glost_pct
    before = Rows(shop.studio).ways
    line = shop.order(qty=900)
    for _i in range(10):
        stands(shop, 100, "fired", line)
    shop.do("sorted", order=line, firsts=920, seconds=80, lost=0)
    shop.later(days=1)
    stands(shop, 1, "bisqued")
    after = Rows(shop.studio).ways
    assert after[bowl].shares[2] == pytest.approx(0.08, abs=0.005)
    assert after[other].shares[2] > before[other].shares[2] * 1.7
    assert after[other].came == (0, 0, 0)


def test_a_setting_that_is_none_is_refused(shop: Shop) -> None:
    s = shop.studio
    answer = shop.refused(422, "studio_save", name=s.name, time_zone=s.time_zone, units=s.units, week=s.week,
                          version=s.version, enough="always")  # fmt: skip
    assert "enough" in answer.errors
