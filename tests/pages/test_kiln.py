"""The kiln page: what is in, what comes, shelf by shelf, and each of packed, lit and drawn."""

from __future__ import annotations

import datetime as dt

import pytest

from planner.checks.kilns import stack_needed
from planner.scenario import Shelving
from studio.models import Fact
from studio.models import Kiln as KilnRow
from studio.queries.kiln import load_view
from studio.queries.shelves import Stand, stack
from tests.pages.visitor import Visitor, check_door
from tests.planner import builders as b
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


def ready_ware(shop: Shop, count: int = 12) -> str:
    return shop.do("opening_ware", form=shop.ids["form"], count=count, stage="leather").data["ware"]


def test_the_door_of_each_page(shop: Shop) -> None:
    check_door("kiln/", shop)
    check_door(f"kiln/{shop.ids['kiln']}/pack/", shop)
    for page in ("kiln/nosuch/pack/", f"kiln/{shop.ids['kiln']}/pack/?stage=raku", "kiln/load/nosuch/"):
        Visitor(shop).open(page, status=404)


def test_a_studio_without_a_kiln_is_told_where_to_begin(empty: Shop) -> None:
    assert "No kiln yet" in Visitor(empty).open("kiln/")


def test_packed_by_hand_lit_and_drawn_with_a_loss(shop: Shop, visitor: Visitor) -> None:
    ware = ready_ware(shop)
    text = visitor.open(f"kiln/{shop.ids['kiln']}/pack/?stage=bisque")
    assert "Isolate the kiln before you reach in." in text
    visitor.send("packed", **{f"n:{ware}": "10"})
    text = visitor.open("kiln/")
    assert "Packed: Bisque" in text
    assert "10 × Bowl" in text
    assert "nothing that burns near it" in text
    visitor.send("lit")
    text = visitor.open("kiln/")
    # 10 h up and 15 h down by the program: read off the page as the clock has it in March (GMT).
    opens = (shop.now + dt.timedelta(minutes=600 + 900, seconds=900)).replace(minute=0)
    assert f"Do not open before tomorrow about {opens:%H:%M}" in text
    assert "the maker’s figure" in text
    shop.later(hours=26)
    assert "Should be cool enough" in visitor.open("kiln/")
    firing = next(iter(shop.state.firings))
    visitor.send("drawn", {f"lost:{firing}.{ware}": ""}, **{f"lost:{firing}.{ware}": "1", "why": "blown"})
    assert [w.count for w in shop.state.ware.values() if w.stage == "bisqued"] == [9]
    assert "10 × Bowl · 1 lost : blown" in visitor.open("kiln/")
    fact = Fact.objects.get(kind="drawn")
    drawn_as = [{"batch": f"{firing}.{ware}", "count": 3, "why": "dunted"}]
    shop.do("correct", fact=fact.public_id, data={"lost": drawn_as})
    assert "10 × Bowl · 3 lost : dunted" in visitor.open("kiln/")
    assert "3 lost : dunted" in visitor.open(f"kiln/load/{firing}/")


def test_a_load_that_came_out_whole_says_so(shop: Shop, visitor: Visitor) -> None:
    ware = ready_ware(shop)
    shop.do("packed", kiln=shop.ids["kiln"], program=shop.ids["bisque"], pieces=[{"batch": ware, "count": 12}])
    firing = next(iter(shop.state.firings))
    shop.do("lit", firing=firing)
    shop.later(hours=26)
    first = shop.do("drawn", firing=firing, lost_of=[{"batch": f"{firing}.{ware}", "count": 2}])
    assert "2 lost" in visitor.open("kiln/")
    shop.do("undo", command=first.undo)
    shop.do("drawn", firing=firing)
    assert "12 × Bowl · none lost" in visitor.open("kiln/")


def test_a_refused_packing_keeps_the_entries(shop: Shop, visitor: Visitor) -> None:
    ware = ready_ware(shop)
    visitor.open(f"kiln/{shop.ids['kiln']}/pack/?stage=bisque")
    text = visitor.send("packed", **{f"n:{ware}": "-3"})
    assert "Enter a number from 0 to 100000." in text
    assert visitor.form("packed")[f"n:{ware}"] == "-3"
    assert "An empty kiln is not packed." in visitor.send("packed", **{f"n:{ware}": ""})
    assert not shop.state.firings


def test_lit_at_a_time_of_one_s_own_telling(shop: Shop, visitor: Visitor) -> None:
    ware = ready_ware(shop)
    firing = shop.do("packed", kiln=shop.ids["kiln"], program=shop.ids["bisque"],
                     pieces=[{"batch": ware, "count": 12}]).data["firing"]  # fmt: skip
    visitor.open("kiln/")
    visitor.send("lit", {"at": shop.now.strftime("%Y-%m-%dT%H:%M")}, at="2027-03-15T05:00")
    assert shop.state.firings[firing].lit == int(dt.datetime(2027, 3, 15, 5, 0, tzinfo=dt.UTC).timestamp()) // 60


def test_a_planned_firing_says_starts_tops_opens_and_is_packed_in_one_tap(shop: Shop, visitor: Visitor) -> None:
    shop.order(qty=8)
    live = shop.plan()
    text = visitor.open("kiln/")
    assert "starts" in text and "tops" in text and "opens" in text
    first = min((f for f in live.plan.firings if f.load), key=lambda f: f.fire or 0)
    visitor.open(f"kiln/load/{first.id}/")
    assert "Shelf 1" in visitor.text
    visitor.open("kiln/")
    visitor.send("task_done", {"task": first.load or ""})
    assert first.id in shop.state.firings
    assert "Packed:" in visitor.open("kiln/")


def test_a_load_that_did_not_go_in_is_noted_for_the_next_plan(shop: Shop, visitor: Visitor) -> None:
    shop.order(qty=8)
    live = shop.plan()
    first = next(f for f in live.plan.firings if f.load)
    visitor.open(f"kiln/load/{first.id}/")
    assert "Noted: such a load does not fit." in visitor.send("kiln_limit")
    [limit] = KilnRow.objects.get(public_id=first.kiln).limits
    n = sum(p.count for p in first.pieces)
    assert limit == {"stage": "bisque", "counts": {shop.ids["form"]: n}}
    assert f"Bisque: {n} × Bowl" in visitor.open("workshop/kilns/")
    version = KilnRow.objects.get(public_id=first.kiln).version
    shop.refused(409, "kiln_limit_drop", kiln=first.kiln, version=version - 1, place=0)
    shop.refused(422, "kiln_limit_drop", kiln=first.kiln, version=version, place=1)
    visitor.send("kiln_limit_drop")
    assert KilnRow.objects.get(public_id=first.kiln).limits == []
    assert "noted for it" not in visitor.open("workshop/kilns/")


def test_a_kiln_out_of_order_is_said_and_works_again_in_one_tap(shop: Shop, visitor: Visitor) -> None:
    shop.do("kiln_out", kiln=shop.ids["kiln"])
    assert "Out of order" in visitor.open("kiln/")
    visitor.send("kiln_back")
    assert "Out of order" not in visitor.open("kiln/")


def test_ware_that_was_glazed_since_is_still_told_of_a_load_long_drawn(shop: Shop, visitor: Visitor) -> None:
    batch = shop.do("pressed", form=shop.ids["form"], count=8).data["batch"]
    shop.later(hours=7)
    shop.do("taken_out", batch=batch, count=5, rest="to_do")
    rest = next(w.id for w in shop.state.ware.values() if w.stage == "in_mould")
    shop.do("taken_out", batch=rest)
    shop.do("step_done", batch=batch)
    shop.do("step_done", batch=rest)
    firing = shop.do("packed", kiln=shop.ids["kiln"], program=shop.ids["bisque"],
                     pieces=[{"batch": batch, "count": 5}, {"batch": rest, "count": 3}]).data["firing"]  # fmt: skip
    shop.do("lit", firing=firing)
    shop.later(hours=30)
    shop.do("drawn", firing=firing)
    shop.do("glazed", form=shop.ids["form"], glaze=shop.ids["glaze"], count=8)
    view = load_view(shop.studio, firing, now=shop.now)
    assert view is not None
    assert [(p.name, p.count) for p in view.load.parts] == [("Bowl", 8)]
    visitor.open(f"kiln/load/{firing}/")
    assert "8 × Bowl" in visitor.text


# Shelves, against the planner's own rule (R08) and its worked example in planner/FORMAT.md

BOWLS, BEAKERS, SAUCERS = Stand(100, 20), Stand(75, 16), Stand(40, 20)


def test_the_worked_example_of_the_rule() -> None:
    laid = stack({"bowl": 12, "beaker": 8, "saucer": 30}, {"bowl": BOWLS, "beaker": BEAKERS, "saucer": SAUCERS}, 20)
    assert laid.height_mm == 120 + 95 + 60
    assert [s.prop_mm for s in laid.shelves] == [100, 75, 40]
    assert [dict(s.parts) for s in laid.shelves] == [
        {"bowl": 12, "beaker": 7}, {"beaker": 1, "saucer": 18}, {"saucer": 12},
    ]  # fmt: skip


def test_what_nobody_counted_is_named_and_nothing_is_laid_twice() -> None:
    laid = stack({"bowl": 25, "vase": 2}, {"bowl": BOWLS}, 20)
    assert laid.strangers == ("vase",)
    assert [dict(s.parts) for s in laid.shelves] == [{"bowl": 20}, {"bowl": 5}]
    assert stack({}, {}, 20).shelves == ()


@pytest.mark.parametrize("counts", [(1, 1, 1), (20, 16, 20), (21, 15, 7), (0, 40, 3), (60, 0, 0), (19, 1, 59)])
def test_height_and_shelves_are_those_of_the_planner(counts: tuple[int, int, int]) -> None:
    stands = {"bowl": BOWLS, "beaker": BEAKERS, "saucer": SAUCERS}
    load = dict(zip(stands, counts, strict=True))
    kiln = b.kiln(id="k", shelf_mm=20)
    forms = {f: b.form(id=f, bisque=Shelving(s.clearance_mm, {"k": s.per_shelf})) for f, s in stands.items()}
    laid = stack(load, stands, 20)
    wanted = {f: n for f, n in load.items() if n}
    assert (laid.height_mm, len(laid.shelves)) == stack_needed(kiln, "bisque", wanted, forms)
    assert sum(n for s in laid.shelves for _f, n in s.parts) == sum(counts)
