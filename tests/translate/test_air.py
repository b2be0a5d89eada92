"""The air in the scenario: moulds and ware take longer where it is damp, as reckoned or as the studio says."""

from __future__ import annotations

from math import ceil

import pytest

from studio.models import FormTimings
from studio.translate import scenario_at
from studio.translate.air import FASTEST, SLOWEST, slowness
from tests.services.shop import Shop

# Tetens' formula with the constants that FAO Irrigation and Drainage Paper 56 (1998), equation 11, prints: it is not
# the one that the program reckons with.
ORDINARY_C, ORDINARY_HUMIDITY = 18, 55


def deficit(celsius: float, humidity_pct: float) -> float:
    saturated: float = 610.8 * 2.718281828 ** (17.27 * celsius / (celsius + 237.3))
    return saturated * (1 - humidity_pct / 100)


def rest_and_dry(shop: Shop) -> tuple[int, int]:
    shop.studio.refresh_from_db()
    form = scenario_at(shop.studio, shop.now).scenario.form[shop.ids["form"]]
    return form.mould_rest, form.dry


@pytest.mark.parametrize(("celsius", "humidity"), [(18, 55), (15, 73), (12, 70), (22, 45), (20, 60)])
def test_times_go_with_the_deficit(shop: Shop, celsius: int, humidity: int) -> None:
    t = FormTimings.objects.get(form__public_id=shop.ids["form"])
    shop.do("air_set", temperature_c=celsius, humidity_pct=humidity)
    times = deficit(ORDINARY_C, ORDINARY_HUMIDITY) / deficit(celsius, humidity)
    rest, dry = rest_and_dry(shop)
    assert rest == pytest.approx(t.mould_rest_min * times, abs=10 + 0.01 * t.mould_rest_min)
    assert dry == pytest.approx(t.dry_min * times, abs=10 + 0.01 * t.dry_min)
    assert rest % 10 == dry % 10 == 0


def test_weeks_go_by_the_studios_own_figures_and_a_dry_one_is_reckoned(shop: Shop) -> None:
    t = FormTimings.objects.get(form__public_id=shop.ids["form"])
    assert rest_and_dry(shop) == (t.mould_rest_min, t.dry_min)
    shop.do("week_set", week="damp")
    assert rest_and_dry(shop) == (t.mould_rest_damp_min, t.dry_damp_min)
    shop.do("week_set", week="dry")
    factor = deficit(ORDINARY_C, ORDINARY_HUMIDITY) / deficit(22, 45)
    assert 0.6 < factor < 0.7
    assert rest_and_dry(shop)[0] == pytest.approx(ceil(t.mould_rest_min * factor), abs=12)


@pytest.mark.parametrize(("celsius", "humidity", "bound"), [(0, 98, SLOWEST), (50, 5, FASTEST)])
def test_no_air_stops_the_planning(shop: Shop, celsius: int, humidity: int, bound: float) -> None:
    shop.do("air_set", temperature_c=celsius, humidity_pct=humidity)
    shop.studio.refresh_from_db()
    assert slowness(shop.studio) == bound
    assert all(rest_and_dry(shop))
