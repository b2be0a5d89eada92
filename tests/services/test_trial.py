"""The command that puts a trial pressing on record."""

from __future__ import annotations

from typing import Any

import pytest

from studio.models import Fact
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


def usual(shop: Shop) -> dict[str, Any]:
    return {"form": shop.ids["form"], "ball_g": 560, "spare_g": 38, "filled": True, "verdict": "again"}


def test_thicknesses_are_kept_in_tenths_of_a_millimetre(shop: Shop) -> None:
    shop.do("trial_pressed", **usual(shop), wall="4,5", rim_inch="0.125", foot="")
    data = Fact.objects.get(studio=shop.studio, kind="trial").data
    assert (data["wall"], data["rim"], data["foot"]) == (45, 32, None)  # 0.125 × 25.4 = 3.175 mm


def test_nothing_stands_otherwise_for_it_and_undo_takes_it_back(shop: Shop) -> None:
    before = shop.state
    answer = shop.do("trial_pressed", **usual(shop))
    assert (shop.state.ware, shop.state.moulds, shop.state.troubles) == (before.ware, before.moulds, [])
    shop.do("undo", command=answer.undo)


def test_a_maker_may_tell_it(shop: Shop) -> None:
    shop.do("trial_pressed", **usual(shop), by=shop.maker())


def test_of_another_studio_s_form_it_is_refused(shop: Shop) -> None:
    Shop(name="Next Door", now=shop.now).furnish().refused(404, "trial_pressed", **usual(shop))


def test_a_form_put_away_has_no_trials(shop: Shop) -> None:
    shop.do("form_retire", form=shop.ids["form"], version=1)
    shop.refused(404, "trial_pressed", **usual(shop))


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"spare_g": 600}, "spare_g"),
        ({"ball_g": 5}, "ball_g"),
        ({"wall": "70"}, "wall"),
        ({"wall": "nan"}, "wall"),
        ({"rim_inch": "thin"}, "rim_inch"),
        ({"verdict": "perhaps"}, "verdict"),
        ({"filled": False, "verdict": "good"}, "verdict"),
        ({"form": "nosuch"}, "form"),
    ],
)
def test_what_cannot_be_is_refused_by_field(shop: Shop, said: dict[str, Any], field: str) -> None:
    answer = shop.refused(404 if field == "form" else 422, "trial_pressed", **usual(shop) | said)
    assert field in answer.errors


def test_sent_twice_it_counts_once(shop: Shop) -> None:
    for _twice in range(2):
        assert shop.send("trial_pressed", client_id="one-tap", **usual(shop)).status == 200
    assert Fact.objects.filter(studio=shop.studio, kind="trial").count() == 1
