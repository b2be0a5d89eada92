"""The places of a firing's pieces are kept with its plan: the same piece for piece, at once, and true on the day."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.craft.clashes import load_faults
from studio.models import FormTimings, Kiln, PlanLoad
from studio.queries import laid_kept
from studio.queries.kiln import load_view
from studio.queries.kiln_drawn import ANEW, AS_KEPT, LESS
from studio.queries.laid import Space, Thing, lay, reduced
from studio.queries.laid_kept import Kept, from_json, to_json
from tests.pages.visitor import Visitor
from tests.services.shop import Shop

SPACE = Space(round=False, width_mm=590, stack_mm=690, shelf_mm=20, shelves=9)
THINGS = (
    Thing("bowl", 17, fired_mm=150, clearance_mm=80, per_shelf=12),
    Thing("mug", 25, fired_mm=85, clearance_mm=110, per_shelf=22, handle=True),
    Thing("plate", 9, fired_mm=175, clearance_mm=60, per_shelf=8),
)


@pytest.mark.one_lane
@pytest.mark.parametrize("stage", ["bisque", "glost"])
@pytest.mark.parametrize("more", [0, 90])
def test_a_load_comes_back_from_its_kept_form_as_it_was(stage: str, more: int) -> None:
    things = (*THINGS[:2], Thing("plate", 9 + more, 175, 60, 8))
    kept = Kept("k", things, SPACE, stage, lay(things, SPACE, stage))
    again = from_json(json.loads(json.dumps(to_json(kept))))
    assert again == kept
    assert again.laid.load.fits is (not more)
    assert load_faults(again.laid.load, again.laid.stack, again.laid.wares) == []
    assert sum(n for shelf in kept.shelves for n in shelf.values()) + sum(again.laid.load.left.values()) == 51 + more


@pytest.mark.one_lane
@settings(max_examples=40, deadline=None)
@given(st.tuples(st.integers(0, 17), st.integers(0, 25), st.integers(0, 9)), st.sampled_from(["bisque", "glost"]))
def test_with_less_of_it_the_rest_stands_where_it_stood(counts: tuple[int, int, int], stage: str) -> None:
    laid = lay(THINGS, SPACE, stage)
    less = reduced(laid, dict(zip(("bowl", "mug", "plate"), counts, strict=True)))
    assert less is not None and less.load.fits
    assert load_faults(less.load, less.stack, less.wares) == []
    there: dict[str, int] = {}
    for level in less.load.levels:
        for placed in level.placed:
            there[placed.key] = there.get(placed.key, 0) + placed.pieces
    assert there == {k: n for k, n in zip(("bowl", "mug", "plate"), counts, strict=True) if n}
    spots = {(p.key, p.disc) for level in laid.load.levels for p in level.placed}
    assert {(p.key, p.disc) for level in less.load.levels for p in level.placed} <= spots


@pytest.mark.one_lane
def test_more_than_a_load_holds_is_not_made_of_it() -> None:
    laid = lay(THINGS, SPACE, "glost")
    assert reduced(laid, {"bowl": 18, "mug": 25, "plate": 9}) is None
    assert reduced(laid, {"bowl": 17, "cup": 1}) is None


@pytest.fixture
def planned(shop: Shop) -> Any:
    """The first firing of a plan in use, its places kept."""
    shop.order(qty=8)
    live = shop.plan(places=True)
    return min((f for f in live.plan.firings if f.load), key=lambda f: f.fire or 0)


@pytest.mark.django_db
def test_the_page_draws_what_was_kept_and_searches_for_nothing(
    shop: Shop, planned: Any, visitor: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    def searched(*_args: object) -> None:
        raise AssertionError("a place was searched for while a page waits")

    monkeypatch.setattr(laid_kept, "lay", searched)
    visitor.open(f"kiln/load/{planned.id}/")
    assert visitor.page.count('class="ware tone-0"') > 0
    view = load_view(shop.studio, planned.id, now=shop.now)
    assert view is not None and view.drawn is not None and view.drawn.laid is not None
    assert view.drawn.how == AS_KEPT
    laid = view.drawn.laid
    assert load_faults(laid.load, laid.stack, laid.wares) == []


@pytest.mark.django_db
def test_packed_with_fewer_the_rest_stands_as_planned(shop: Shop, planned: Any, visitor: Visitor) -> None:
    wares = {p.source: p.count for p in planned.pieces}
    n = sum(wares.values())
    make_ready(shop, n)
    pack(shop, planned, n - 2)
    text = visitor.open(f"kiln/load/{planned.id}/")
    assert "Fewer were packed than planned: they are taken off from the top." in text
    assert drawn_how(shop, planned.id) == (LESS, n - 2)


@pytest.mark.django_db
def test_packed_with_more_it_is_drawn_as_it_could_stand_and_says_so(
    shop: Shop, planned: Any, visitor: Visitor
) -> None:
    n = sum(p.count for p in planned.pieces)
    make_ready(shop, n + 3)
    pack(shop, planned, n + 3)
    text = visitor.open(f"kiln/load/{planned.id}/")
    assert "It was not packed as planned: drawn as it could stand" in text
    assert drawn_how(shop, planned.id) == (ANEW, n + 3)


@pytest.mark.django_db
def test_what_was_kept_no_longer_counts_once_a_size_has_changed(shop: Shop, planned: Any) -> None:
    assert drawn_how(shop, planned.id)[0] == AS_KEPT
    FormTimings.objects.update(bisque={"clearance_mm": 120, "per_shelf": {shop.ids["kiln"]: 6}})
    assert drawn_how(shop, planned.id)[0] == ANEW


@pytest.mark.django_db
def test_the_kept_places_go_with_their_plan(shop: Shop, planned: Any) -> None:
    rows = PlanLoad.objects.filter(studio=shop.studio)
    assert rows and all(r.fits and r.plan.is_current for r in rows)
    for row in rows:
        kept = from_json(row.laid)
        assert sum(kept.counts.values()) == sum(n for shelf in row.shelves for n in shelf.values())


def make_ready(shop: Shop, n: int) -> None:
    """Dry ware beside that of the plan."""
    shop.do("opening_ware", form=shop.ids["form"], count=n, stage="leather", dry_at=shop.now.isoformat())


def pack(shop: Shop, firing: Any, n: int) -> None:
    """Pack ``n`` pieces in the name of the planned firing."""
    from studio.services.record import NewFact, append_facts

    [ware] = [w.id for w in shop.state.ware.values() if w.stage == "leather"]
    minute = int(shop.now.timestamp()) // 60
    data = {"firing": firing.id, "kiln": firing.kiln, "program": firing.program, "stage": "bisque",
            "pieces": [{"batch": ware, "count": n}], "started": minute - 60, "ended": minute}  # fmt: skip
    append_facts(studio=shop.studio, facts=[NewFact("pack.1", "packed", data, minute)], command=None, now=shop.now)


def drawn_how(shop: Shop, firing: str) -> tuple[str, int]:
    view = load_view(shop.studio, firing, now=shop.now)
    assert view is not None and view.drawn is not None and view.drawn.laid is not None
    laid = view.drawn.laid
    assert load_faults(laid.load, laid.stack, laid.wares) == []
    assert Kiln.objects.filter(public_id=view.kiln.public_id).exists()
    return view.drawn.how, sum(p.count for s in view.drawn.pictures for p in s.parts)
