"""The worker finds every piece of a plan its place before it keeps it; a load that finds none is planned smaller."""

from __future__ import annotations

import threading
from typing import Any

import pytest

from planner.craft.clashes import load_faults
from planner.jsonio import plan_from_json
from studio import fitting
from studio.models import FormTimings, Kiln, Plan, PlanLoad, PlanRun
from studio.queries.laid_kept import from_json
from studio.queries.run import plan_page
from studio.worker import Worker
from tests.services.shop import Shop

WIDE = 12  # bowls of 150 mm fired on 590 mm: 158.6 mm going in, 6 mm apart; in even rows 3 by 3, nested some more


@pytest.fixture
def hopeful(shop: Shop) -> Shop:
    """A studio that counts 20 bowls on a shelf of its glost, more than by their width can stand there.

    By area alone: 590² / (164.6² × 0.866) = 14.8.
    """
    timings = FormTimings.objects.get()
    timings.glost = {**timings.glost, "per_shelf": {shop.ids["kiln"]: 20}}
    timings.save()
    kiln = Kiln.objects.get()
    kiln.shelves = 1
    kiln.save()
    shop.do("order_new", customer_name="Fern", due="2027-03-29",
            lines=[{"form": shop.ids["form"], "glaze": shop.ids["glaze"], "qty": 30}])  # fmt: skip
    return shop


def work(shop: Shop, seconds: int = 1) -> PlanRun:
    answer = shop.do("plan_make", seconds=seconds)
    assert Worker(threading.Event(), clock=lambda: shop.now).once()
    return PlanRun.objects.get(public_id=answer.data["run"])


def largest(plan: Plan, program: str) -> int:
    firings = [f for f in plan_from_json(plan.plan).firings if f.load and f.program == program]
    return max(sum(p.count for p in f.pieces) for f in firings)


def test_more_counted_on_a_shelf_than_stand_there_leads_to_a_note_and_a_plan_with_less(hopeful: Shop) -> None:
    run = work(hopeful)
    assert run.state == PlanRun.State.DONE and run.plan is not None
    [note] = Kiln.objects.get().limits
    most = note["counts"][hopeful.ids["form"]] - 1
    assert (note["stage"], note["placed"]) == ("glost", True)
    assert WIDE - 3 <= most <= 14
    assert largest(run.plan, hopeful.ids["glost"]) <= most
    rows = PlanLoad.objects.filter(plan=run.plan)
    assert len(rows) == sum(f.load is not None for f in plan_from_json(run.plan.plan).firings)
    for row in rows:
        laid = from_json(row.laid).laid
        assert row.fits and load_faults(laid.load, laid.stack, laid.wares) == []
        assert all(laid.body_mm[p.key] <= p.disc.diameter_mm + 1e-6 for level in laid.load.levels for p in level.placed)
    page = plan_page(hopeful.studio, now=hopeful.now, run_id=run.public_id)
    [said] = [c.text for c in page.changes if "planned smaller" in c.text]
    assert said.startswith("Kiln: the glost is planned smaller, because it did not fit.")
    assert said.endswith(f"{most + 1} × Bowl find no place together.")
    assert hopeful.do("plan_use", plan=run.plan.public_id).status == 200


def test_what_still_finds_no_place_is_kept_only_with_a_word_of_what_to_do(
    hopeful: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fitting, "MOST_ROUNDS", 0)
    run = work(hopeful)
    assert run.plan is not None and Kiln.objects.get().limits == []
    over = PlanLoad.objects.filter(plan=run.plan, fits=False)
    assert over
    page = plan_page(hopeful.studio, now=hopeful.now, run_id=run.public_id)
    said = [c for c in page.changes if "not all of it finds a place" in c.text]
    assert len(said) == len(over)
    assert all(c.tone == "bad" and "Leave these for another firing when you pack" in c.text for c in said)
    for row in over:
        laid = from_json(row.laid).laid
        assert sum(laid.load.left.values()) > 0 and load_faults(laid.load, laid.stack, laid.wares) == []


def test_the_studio_s_word_that_its_count_is_right_stands_above_the_places(hopeful: Shop) -> None:
    work(hopeful)
    kiln = Kiln.objects.get()
    hopeful.do("kiln_limit_drop", kiln=kiln.public_id, version=kiln.version, place=0)
    [note] = Kiln.objects.get().limits
    assert note["fits"] is True
    run = work(hopeful)
    assert run.plan is not None and Kiln.objects.get().limits == [note]
    assert largest(run.plan, hopeful.ids["glost"]) > note["counts"][hopeful.ids["form"]]
    assert not any("planned smaller" in c["text"] for c in run.plan.changes)


def test_a_note_made_for_places_goes_when_the_size_it_rested_on_is_corrected(hopeful: Shop) -> None:
    work(hopeful)
    assert len(Kiln.objects.get().limits) == 1
    form = FormTimings.objects.get().form
    form.fired_mm = 105  # 111 mm going in: five by five and more on 590 mm
    form.save()
    run = work(hopeful)
    assert Kiln.objects.get().limits == []
    assert run.plan is not None and all(r.fits for r in PlanLoad.objects.filter(plan=run.plan))


def test_a_person_s_own_note_stays_whatever_finds_a_place(shop: Shop) -> None:
    kiln = Kiln.objects.get()
    counts = [{"form": shop.ids["form"], "count": 5}]
    shop.do("kiln_limit", kiln=kiln.public_id, version=kiln.version, stage="bisque", counts=counts)
    run = work(shop)
    assert Kiln.objects.get().limits == [{"stage": "bisque", "counts": {shop.ids["form"]: 5}}]
    assert run.plan is not None and largest(run.plan, shop.ids["bisque"]) < 5


def test_two_ways_are_both_placed_and_either_can_be_used(hopeful: Shop) -> None:
    answer = hopeful.do("plan_make", seconds=2, two=True)
    assert Worker(threading.Event(), clock=lambda: hopeful.now).once()
    run = PlanRun.objects.get(public_id=answer.data["run"])
    assert run.plan is not None and run.other is not None
    for plan in (run.plan, run.other):
        assert PlanLoad.objects.filter(plan=plan, fits=True).exists()
    assert hopeful.do("plan_use", plan=run.other.public_id).status == 200


def test_told_to_stop_it_plans_no_further_round(hopeful: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    stop = threading.Event()
    rounds: list[Any] = []
    real = fitting.Placer.place

    def place(self: Any, *args: Any) -> Any:
        rounds.append(1)
        stop.set()
        return real(self, *args)

    monkeypatch.setattr(fitting.Placer, "place", place)
    answer = hopeful.do("plan_make", seconds=1)
    Worker(stop, clock=lambda: hopeful.now).once()
    run = PlanRun.objects.get(public_id=answer.data["run"])
    assert (run.state, len(rounds)) == (PlanRun.State.STOPPED, 1)
    assert run.plan is not None and any("not all of it finds a place" in c["text"] for c in run.plan.changes)
