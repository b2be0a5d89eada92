"""Recording without a plan, taking back, correcting, sending off."""

from __future__ import annotations

import datetime as dt

import pytest

from studio.models import Cast, Fact, Mould, Order
from studio.record.state import BISQUED, FIRED, GLAZED, IN_MOULD, KILN, LEATHER
from tests.services.shop import Shop


def pressed(shop: Shop, count: int = 5) -> str:
    return shop.do("pressed", form=shop.ids["form"], count=count).data["batch"]


def through_to_fired(shop: Shop, count: int = 5) -> str:
    """Bowls pressed, taken out, turned, fired, glazed and fired again for an order; its line."""
    line = shop.order(qty=count)
    batch = pressed(shop, count)
    shop.later(hours=8)
    shop.do("taken_out", batch=batch, wrapped=True)
    shop.later(hours=16)
    shop.do("step_done", batch=batch)
    shop.later(days=3)
    shop.do("packed", kiln=shop.ids["kiln"], program=shop.ids["bisque"], pieces=[{"batch": batch, "count": count}])
    shop.do("lit", kiln=shop.ids["kiln"])
    shop.later(days=1, hours=2)
    shop.do("drawn", kiln=shop.ids["kiln"])
    lot = shop.do("glazed", form=shop.ids["form"], glaze=shop.ids["glaze"], count=count, order=line).data["lot"]
    shop.later(hours=5)
    shop.do("packed", kiln=shop.ids["kiln"], program=shop.ids["glost"], pieces=[{"batch": lot, "count": count}])
    shop.do("lit", kiln=shop.ids["kiln"])
    shop.later(days=1, hours=6)
    shop.do("drawn", kiln=shop.ids["kiln"])
    return line


def test_a_pot_from_ball_to_box_without_a_plan(shop: Shop) -> None:
    line = through_to_fired(shop)
    shop.do("sorted", order=line, firsts=4, seconds=1)
    assert shop.state.ware == {}
    assert shop.state.troubles == []
    assert (shop.state.lines[line].firsts, shop.state.lines[line].seconds) == (4, 1)


def test_every_stage_on_the_way_is_seen(shop: Shop) -> None:
    batch = pressed(shop, 3)
    assert shop.state.ware[batch].stage == IN_MOULD
    shop.do("taken_out", batch=batch)
    assert shop.state.ware[batch].stage == LEATHER
    shop.do("packed", kiln=shop.ids["kiln"], program=shop.ids["bisque"], pieces=[{"batch": batch, "count": 3}])
    assert shop.state.ware[batch].stage == KILN
    shop.do("drawn", kiln=shop.ids["kiln"])
    assert shop.state.ware[batch].stage == BISQUED
    lot = shop.do("glazed", form=shop.ids["form"], glaze=shop.ids["glaze"], count=3).data["lot"]
    assert shop.state.ware[lot].stage == GLAZED
    shop.do("packed", kiln=shop.ids["kiln"], program=shop.ids["glost"], pieces=[{"batch": lot, "count": 3}])
    shop.do("drawn", kiln=shop.ids["kiln"])
    assert shop.state.ware[lot].stage == FIRED


def test_pressings_are_spread_over_the_moulds(shop: Shop) -> None:
    for _day in range(4):
        batch = pressed(shop, 4)
        shop.later(hours=8)
        shop.do("taken_out", batch=batch)
        shop.later(hours=16)
    assert [m.uses for m in shop.state.moulds.values()] == [2] * 8  # 16 pressings in 8 moulds


def test_a_mould_that_is_named_is_the_one(shop: Shop) -> None:
    seven = Mould.objects.get(number=7)
    shop.do("pressed", form=shop.ids["form"], count=1, moulds=[seven.public_id])
    assert shop.state.moulds[seven.public_id].uses == 1


def test_undo_takes_back_all_of_a_command_and_undo_of_undo_brings_it_back(shop: Shop) -> None:
    batch = pressed(shop, 5)
    shop.later(days=9)
    out = shop.do("taken_out", batch=batch, count=3, rest="to_do")
    after = shop.state.ware
    back = shop.do("undo", command=out.undo)
    assert shop.state.ware[batch].stage == IN_MOULD
    shop.refused(422, "undo", command=out.undo)  # once is enough
    again = shop.do("undo", command=back.undo)
    assert shop.state.ware == after
    assert "stands again" in again.message
    shop.do("undo", command=again.undo)
    assert shop.state.ware[batch].stage == IN_MOULD


def test_one_fact_of_a_command_can_be_taken_back(shop: Shop) -> None:
    batch = pressed(shop, 2)
    fact = Fact.objects.get(kind="pressed")
    shop.do("undo", fact=fact.public_id)
    assert batch not in shop.state.ware


def test_what_was_never_recorded_cannot_be_taken_back(shop: Shop) -> None:
    shop.refused(404, "undo", command="never")
    shop.do("customer_save", client_id="edit-1", name="Ossel House")
    assert "nothing on record" in shop.refused(404, "undo", command="edit-1").message
    shop.refused(422, "undo")


def test_a_correction_replaces_what_it_names(shop: Shop) -> None:
    batch = pressed(shop, 5)
    out = shop.do("taken_out", batch=batch, count=5)
    shop.do("correct", fact=out.data["facts"][0], data={"good": 4, "lost": 1})
    assert shop.state.ware[batch].count == 4


def test_a_correction_that_cannot_be_is_refused_by_field(shop: Shop) -> None:
    pressed(shop, 5)
    fact = Fact.objects.get(kind="pressed").public_id
    assert "count" in shop.refused(422, "correct", fact=fact, data={"count": "many"}).errors
    assert "moulds" in shop.refused(422, "correct", fact=fact, data={"count": 4}).errors
    shop.refused(404, "correct", fact="none", data={"count": 4})


def test_a_correction_is_taken_back_but_not_corrected(shop: Shop) -> None:
    batch = pressed(shop, 5)
    out = shop.do("taken_out", batch=batch)
    fixed = shop.do("correct", fact=out.data["facts"][0], data={"good": 4, "lost": 1})
    shop.refused(422, "correct", fact=fixed.data["facts"][0], data={"of": "x"})
    shop.do("undo", command=fixed.undo)
    assert shop.state.ware[batch].count == 5


def test_too_soft_is_asked_about_again(shop: Shop) -> None:
    batch = pressed(shop)
    shop.do("too_soft", batch=batch, minutes="90")
    assert shop.state.ware[batch].ask_at == int(shop.now.timestamp() // 60) + 90


def test_still_good_until_a_wall_time_of_the_studio(shop: Shop) -> None:
    shop.now = dt.datetime(2027, 6, 14, 8, 0, tzinfo=dt.UTC)
    batch = pressed(shop)
    shop.do("still_good", batch=batch, until="2027-06-14T18:00")
    nine_utc = dt.datetime(2027, 6, 14, 17, 0, tzinfo=dt.UTC)  # six in the evening of a London summer
    assert shop.state.ware[batch].until == int(nine_utc.timestamp() // 60)
    shop.refused(422, "still_good", batch=batch, until="2027-06-14T08:00")
    shop.refused(422, "still_good", batch=batch)


def test_a_wall_time_that_is_skipped_in_spring_is_the_first_after_it(shop: Shop) -> None:
    # Europe/London, 28 March 2027: 01:00 becomes 02:00 (the last Sunday of March, EU and UK rule).
    shop.now = dt.datetime(2027, 3, 27, 12, 0, tzinfo=dt.UTC)
    batch = pressed(shop)
    shop.do("still_good", batch=batch, until="2027-03-28T01:30")
    assert shop.state.ware[batch].until == int(dt.datetime(2027, 3, 28, 1, 0, tzinfo=dt.UTC).timestamp() // 60)


def test_wrapped_for_the_night(shop: Shop) -> None:
    filled, out = pressed(shop, 3), pressed(shop, 2)
    shop.do("taken_out", batch=out)
    answer = shop.do("wrap", batches=[filled, out])
    assert answer.message == "5 pieces are covered."
    assert shop.state.ware[filled].covered_in_mould
    assert shop.state.ware[out].wrapped
    assert Fact.objects.filter(kind="covered").count() == 2
    shop.do("wrap", batches=[filled, out])  # twice does nothing more
    assert Fact.objects.filter(kind="covered").count() == 2


@pytest.mark.parametrize("kind", ["taken_out", "too_soft", "wrap", "pots_lost", "step_done"])
def test_ware_that_is_not_there_is_not_found(shop: Shop, kind: str) -> None:
    shop.refused(404, kind, batch="gone", batches=["gone"], ware="gone", count=1)


def test_no_more_pots_are_lost_than_there_are(shop: Shop) -> None:
    batch = pressed(shop, 3)
    assert "count" in shop.refused(422, "pots_lost", ware=batch, count=4).errors
    shop.do("pots_lost", ware=batch, count=2, why="fell")
    assert shop.state.ware[batch].count == 1


def test_what_is_sorted_has_to_be_there(shop: Shop) -> None:
    line = through_to_fired(shop, 5)
    assert "firsts" in shop.refused(422, "sorted", order=line, firsts=6).errors
    shop.refused(422, "sorted", order=line, firsts=0)


def test_an_order_that_was_sent_is_closed_and_an_undo_opens_it(shop: Shop) -> None:
    line = through_to_fired(shop, 5)
    shop.do("sorted", order=line, firsts=5)
    sent = shop.do("shipped", order=shop.ids["order"])
    assert Order.objects.get().closed_at is not None
    assert shop.state.lines[line].shipped == 5
    shop.do("undo", command=sent.undo)
    assert Order.objects.get().closed_at is None
    shop.do("shipped", lines=[{"line": line, "count": 2}])
    assert Order.objects.get().closed_at is None


def test_nothing_finished_nothing_sent(shop: Shop) -> None:
    shop.order()
    shop.refused(422, "shipped", order=shop.ids["order"])


def test_a_lifted_cast_is_a_mould_and_an_undo_takes_it_back(shop: Shop) -> None:
    cast = shop.do("cast_save", form=shop.ids["form"]).data["casts"][0]
    shop.do("poured", cast=cast)
    shop.later(hours=1)
    lifted = shop.do("lifted", cast=cast)
    mould = Mould.objects.get(public_id=cast)
    assert (mould.number, mould.ready_from) == (9, shop.now + dt.timedelta(days=8))
    assert Cast.objects.get().retired_at is not None
    shop.do("undo", command=lifted.undo)
    assert Mould.objects.get(public_id=cast).retired_at is not None
    assert Cast.objects.get().retired_at is None
    shop.do("lifted", cast=cast)
    assert Mould.objects.get(public_id=cast).retired_at is None


def test_a_failed_cast_can_be_poured_again(shop: Shop) -> None:
    cast = shop.do("cast_save", form=shop.ids["form"]).data["casts"][0]
    shop.do("poured", cast=cast)
    shop.do("cast_lost", cast=cast)
    shop.do("poured", cast=cast)
    assert not shop.state.casts[cast].gone


def test_a_cracked_mould_takes_its_piece_with_it_unless_it_came_out(shop: Shop) -> None:
    batch = pressed(shop, 3)
    first, second = shop.state.ware[batch].moulds[:2]
    shop.do("mould_cracked", mould=first)
    assert shop.state.ware[batch].count == 2
    shop.do("mould_cracked", mould=second, piece_lost="no")
    assert shop.state.ware[batch].count == 2


def test_any_mould_of_a_form_cracked_is_an_empty_one_with_the_most_pressings(shop: Shop) -> None:
    batch = pressed(shop, 4)
    used = set(shop.state.ware[batch].moulds)
    shop.do("taken_out", batch=batch)
    pressed(shop, 4)  # fills the other four
    answer = shop.do("mould_cracked", form=shop.ids["form"])
    assert answer.data["mould"] in used
    assert answer.data["left"] == 7


def test_a_kiln_goes_out_of_order_and_comes_back(shop: Shop) -> None:
    shop.do("kiln_out", kiln=shop.ids["kiln"], until="2027-03-18T12:00")
    assert shop.state.kilns[shop.ids["kiln"]].out_until is not None
    shop.do("kiln_back", kiln=shop.ids["kiln"])
    assert shop.state.kilns[shop.ids["kiln"]].out_since is None


def test_somebody_is_away(shop: Shop) -> None:
    shop.refused(422, "person_away", until="2027-03-15T12:00")  # the login is nobody on the plan
    shop.refused(422, "person_away", person=shop.ids["person"], until="2027-03-14T12:00")
    shop.do("person_away", person=shop.ids["person"], until="2027-03-15T12:00")
    assert shop.state.away[0][0] == shop.ids["person"]


def test_what_a_new_studio_has_standing(shop: Shop) -> None:
    line = shop.order(qty=8)
    shop.do("opening_ware", form=shop.ids["form"], count=6, stage="bisqued")
    glazed = shop.do("opening_ware", form=shop.ids["form"], count=4, stage="glazed", order=line).data["ware"]
    assert shop.state.ware[glazed].order == line
    assert shop.state.ware[glazed].glaze == shop.ids["glaze"]
    shop.refused(422, "opening_ware", form=shop.ids["form"], count=4, stage="fired")  # in which glaze?


def test_what_does_not_add_up_is_kept_and_said(shop: Shop) -> None:
    batch = pressed(shop, 3)
    shop.do("taken_out", batch=batch)
    shop.do("packed", kiln=shop.ids["kiln"], program=shop.ids["bisque"], pieces=[{"batch": batch, "count": 3}])
    answer = shop.do("drawn", kiln=shop.ids["kiln"])  # nobody said that it was lit
    assert answer.data["troubles"] == ["drawn_unlit"]
    assert "does not quite fit" in answer.message
