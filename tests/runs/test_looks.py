"""Plans looked at closer while nobody waits: how sure their days are and what would help, and giving way at once."""

from __future__ import annotations

import datetime as dt
import threading
from typing import Any

import pytest

from planner.robust import Spread, starts_needed
from studio import looker as module
from studio.looker import Looker
from studio.models import FormTimings, Plan, Studio
from studio.queries.plans import Live
from studio.queries.sure import sure_of
from studio.record.measured import Measured
from studio.services import looks
from studio.translate.looking import look_at, recorded, spread_of
from studio.translate.rows import Rows
from studio.worker import Worker
from tests.services.shop import Shop


@pytest.fixture
def live(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> Live:
    """The plan of the shop in use; relief gets a second only."""
    monkeypatch.setattr(module, "HELP_SECONDS", 1)
    return shop.plan()


def look(shop: Shop, stop: threading.Event | None = None) -> bool:
    return Looker(Worker(stop or threading.Event(), clock=lambda: shop.now)).once()


def row(live: Live) -> Plan:
    return Plan.objects.get(pk=live.row.pk)


def test_a_plan_in_use_is_looked_at_once(shop: Shop, live: Live) -> None:
    assert look(shop)
    seen = row(live)
    line = live.scenario.orders[0].id
    assert set(seen.sure) == {line}
    assert 0 <= seen.sure[line]["on"] <= 1 and seen.sure[line]["runs"] == 200
    assert seen.helps["done"]
    assert look(shop) is False


def test_pieces_to_be_sure_are_reckoned_from_the_firsts_wanted_and_the_forms_own_losses(
    shop: Shop, live: Live
) -> None:
    """Ten firsts: enough in nine of ten runs takes as many presses as the binomial chances say (planner.robust)."""
    look(shop)
    line = live.scenario.orders[0]
    losses = spread_of(Rows(shop.studio)).of_form(shop.ids["form"])
    wanted = starts_needed(10, losses.survival, 0.9)
    assert wanted > line.qty
    assert row(live).sure[line.id]["more"] == max(0, wanted - line.qty)


def test_a_plan_that_waits_for_a_decision_tells_how_sure_it_is_only(shop: Shop, live: Live) -> None:
    look(shop)
    Plan.objects.filter(pk=live.row.pk).update(is_current=False, accepted_at=None, sure=None, helps=None,
                                               look_until=None)  # fmt: skip
    assert look(shop)
    assert row(live).sure and row(live).helps is None
    shop.later(hours=1)
    assert look(shop) is False


def test_it_is_looked_at_again_when_something_has_happened_but_not_at_every_step(shop: Shop, live: Live) -> None:
    look(shop)
    first = min((t for t in live.plan.tasks if t.kind == "press"), key=lambda t: t.start)
    shop.later(minutes=5)
    shop.now = max(shop.now, live.when(first.end))
    shop.do("task_done", task=first.id)
    Plan.objects.filter(pk=live.row.pk).update(look_until=shop.now + dt.timedelta(minutes=1))
    assert look(shop) is False
    shop.later(minutes=11)
    before = row(live).looked_seq
    assert look(shop)
    assert row(live).looked_seq > before


def test_it_stops_at_once_when_somebody_waits_and_goes_on_afterwards(
    shop: Shop, live: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, shown = module.relief, []

    def asked(*args: Any, **more: Any) -> Any:
        shop.do("plan_make")
        shown.append(True)
        return real(*args, **{**more, "seconds": 60})

    monkeypatch.setattr(module, "relief", asked)
    assert look(shop)
    seen = row(live)
    assert shown and seen.sure and not (seen.helps or {}).get("done")
    assert seen.look_until is None  # free for the next look


def test_a_fault_is_tried_again_a_few_times_and_then_left(
    shop: Shop, live: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_args: Any, **_more: Any) -> Any:
        raise ValueError("no")

    monkeypatch.setattr(module, "sureness", broken)
    for _n in range(looks.MOST_TRIES):
        assert look(shop)
        shop.now += looks.LEASE + dt.timedelta(seconds=1)
    assert look(shop) is False


def test_a_plan_that_does_not_fit_any_more_says_nothing(shop: Shop, live: Live) -> None:
    look(shop)
    for _mould in range(8):
        shop.do("mould_cracked", form=shop.ids["form"], replan=False)
    shop.later(minutes=11)
    assert look_at(shop.studio, row(live), shop.now) is None
    assert look(shop)
    assert row(live).sure == {}


def test_how_sure_is_said_in_tenths(shop: Shop, live: Live) -> None:
    said = {"on": 0.62, "day": "2027-04-02", "slack": 900, "enough": 0.7, "more": 2, "runs": 200}
    plan = row(live)
    plan.sure = {"x": said, "y": {**said, "on": 0.99, "enough": 1, "more": 0}, "z": {**said, "on": 0.0}}
    sure = sure_of(plan)
    assert sure["x"].text == "ready on its day 6 times in 10"
    assert (sum(sure["x"].ticks), sure["x"].more, sure["x"].day) == (6, 2, dt.date(2027, 4, 2))
    assert (sure["y"].text, sure["y"].more, sure["y"].day) == ("ready on its day nearly always", 0, None)
    assert sure["x"].short is False
    plan.sure = {"x": {**said, "more": 0}, "y": {**said, "on": 0.88}}
    late = sure_of(plan)
    assert late["x"].short  # nothing pressed now is ready in time
    assert (late["y"].more, late["y"].day) == (0, None)  # nine in ten as it is said
    assert sure["z"].text == "ready on its day hardly ever"


def test_nothing_is_to_be_pressed_that_comes_too_late(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Bowls bisqued, one to spare, for twenty in six days: too few may come through, but clay takes longer."""
    monkeypatch.setattr(module, "HELP_SECONDS", 1)
    shop.do("opening_ware", form=shop.ids["form"], count=21, stage="bisqued")
    shop.do("order_cancel", order=shop.ids["order"], version=1)
    line = shop.order(qty=20, days=6)
    live = shop.plan()
    assert look(shop)
    said = row(live).sure[line]
    assert said["enough"] < 0.9 and said["more"] == 0


def pressed(shop: Shop, times: int, minutes: int) -> None:
    """So many pressings of a bowl one after the other, each told ``minutes`` after the one before."""
    for _i in range(times):
        shop.later(minutes=minutes)
        shop.do("pressed", form=shop.ids["form"], count=4)


def test_the_spread_is_the_studios_own_once_it_has_recorded_enough(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Pressing four bowls is planned for a few minutes: a studio that takes longer is played so, no other is."""
    monkeypatch.setattr(module, "HELP_SECONDS", 1)
    shop.do("mould_add", form=shop.ids["form"], count=60)
    FormTimings.objects.filter(studio=shop.studio).update(press_s=150)  # ten minutes for four
    pressed(shop, 12, minutes=14)
    shop.order(qty=60)
    own = shop.plan()
    seen = look_at(shop.studio, own.row, shop.now)
    assert seen is not None and 1.1 < seen.spread.of_kind("press").usual < 1.4
    assert seen.spread.of_kind("glaze") == Spread().work
    assert look(shop)
    assert Plan.objects.get(pk=own.row.pk).rests["pressings"] == 11
    elsewhere = Studio.objects.create(public_id="elsewhere", name="South Yard", time_zone="Europe/London")
    assert recorded(elsewhere) == Measured()
