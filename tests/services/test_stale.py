"""A stale edit is explained, and nothing is saved."""

from __future__ import annotations

from studio.models import Rack
from tests.services.shop import Shop


def test_a_stale_edit_says_what_stands_there_now_and_saves_nothing(shop: Shop) -> None:
    shop.do("rack_save", rack=shop.ids["damp"], version=1, name="Cupboard", use="damp", boards=20)
    answer = shop.refused(409, "rack_save", rack=shop.ids["damp"], version=1, name="Cupboard", use="damp", boards=12)
    assert answer.errors == {"boards": "Now: 20"}
    assert "boards: 20" in answer.message
    assert answer.data == {"version": 2}
    assert Rack.objects.get(public_id=shop.ids["damp"]).boards == 20
    shop.do("rack_save", rack=shop.ids["damp"], version=2, name="Cupboard", use="damp", boards=12)


def test_an_edit_without_a_version_is_stale(shop: Shop) -> None:
    shop.refused(409, "rack_save", rack=shop.ids["damp"], name="Cupboard", use="damp", boards=12)
