"""The commands about plaster: bags, mixes, steps of a session, and what a pour takes."""

from __future__ import annotations

import pytest

from studio.models import Fact, MouldMix
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


def cast(shop: Shop, **more: object) -> str:
    return str(shop.do("cast_save", form=shop.ids["form"], **more).data["casts"][0])


def test_bags_come_with_their_day_and_are_used_oldest_first(shop: Shop) -> None:
    new = shop.do("plaster_in", kg="25", made="2027-03-01", count=2).data["bags"]
    old = shop.do("plaster_in", lb="50", best="2027-04-01").data["bags"]
    assert [shop.state.plaster[b].grams for b in (*new, *old)] == [25_000, 25_000, 22_680]
    shop.do("plaster_opened", bag=old[0])
    again = shop.do("plaster_opened", bag=old[0])
    assert "already" in again.message and again.undo is None
    shop.do("poured", cast=cast(shop), kg="3.5")
    assert shop.state.plaster[old[0]].left == 22_680 - 3500


def test_a_pour_takes_what_the_kept_mix_says(shop: Shop) -> None:
    shop.do("plaster_in", kg="25")
    shop.do("mould_mix", form=shop.ids["form"], ml=4229, way="round", frame_mm="260", nonsense="x")
    assert MouldMix.objects.get(form__studio=shop.studio).asked == {"way": "round", "frame_mm": "260"}
    shop.do("poured", cast=cast(shop))
    # 4.229 l and 8 % more weigh 1582 kg/m³ at 70 (1.70 / (1/2680 + 0.70/998)), of which 1/1.70 is plaster: 4.25 kg.
    taken = Fact.objects.get(studio=shop.studio, kind="poured").data["plaster_g"]
    assert taken == pytest.approx(4250, abs=5)
    assert [b.left for b in shop.state.plaster.values()] == [25_000 - taken]
    shop.do("mould_mix", form=shop.ids["form"], ml=2000, consistency_tenths=800)
    assert MouldMix.objects.get(form__studio=shop.studio).ml == 2000


def test_without_a_mix_a_pour_says_nothing_of_plaster(shop: Shop) -> None:
    shop.do("poured", cast=cast(shop))
    assert "plaster_g" not in Fact.objects.get(studio=shop.studio, kind="poured").data


def test_a_pour_that_was_planned_is_done_in_the_plan_too(shop: Shop) -> None:
    one = cast(shop, required=True)
    shop.order()
    planned = next(c for c in shop.plan().plan.casts if c.id == one)
    shop.do("poured", cast=one)
    assert planned.pour in shop.state.done_tasks
    answer = shop.do("task_done", task=planned.pour)
    assert "already" in answer.message and len(shop.state.casts) == 1
    shop.later(minutes=90)
    shop.do("lifted", cast=one)
    assert planned.lift in shop.state.done_tasks


def test_steps_are_noted_once(shop: Shop) -> None:
    one = cast(shop)
    shop.do("cast_step", cast=one, step="soaped")
    assert shop.do("cast_step", cast=one, step="soaped").undo is None
    assert list(shop.state.casting[one]) == ["soaped"]
    shop.refused(422, "cast_step", cast=one, step="dance")
    shop.refused(404, "cast_step", cast="nosuch", step="soaped")


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"kg": ""}, "kg"),
        ({"made": "2027-03-20"}, "made"),
        ({"made": "soon"}, "made"),
        ({"made": "2027-03-01", "best": "2027-02-01"}, "best"),
        ({"count": 99}, "count"),
    ],
)
def test_what_cannot_be_is_refused_by_field(shop: Shop, said: dict[str, object], field: str) -> None:
    assert field in shop.refused(422, "plaster_in", **{"kg": "25", **said}).errors


def test_other_studios_bags_are_not_found(shop: Shop) -> None:
    mine = shop.do("plaster_in", kg="25").data["bags"][0]
    other = Shop(name="Next Door", now=shop.now).furnish()
    other.refused(404, "plaster_left", bag=mine, kg="1")
    other.refused(404, "mould_mix", form=shop.ids["form"], ml=1000)
    shop.do("plaster_left", bag=mine, kg="0")
    assert shop.state.plaster[mine].left == 0
