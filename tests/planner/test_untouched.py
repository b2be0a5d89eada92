"""Which tasks an event leaves possible, on a worked plan; and that a plan made afresh begins from nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.bench.untouched import untouched
from planner.dispatch.first import first_habits
from planner.dispatch.kept import afresh
from planner.jsonio import read_plan, read_scenario
from planner.plan import Plan
from planner.repair import repair
from planner.scenario import Scenario
from planner.values import Span
from tests.planner.conftest import EXAMPLES


@pytest.fixture
def worked() -> tuple[Scenario, Plan]:
    scenario = read_scenario((EXAMPLES / "medium.json").read_bytes())
    return scenario, read_plan((EXAMPLES / "medium.plan.json").read_bytes())


def _to_come(plan: Plan) -> set[str]:
    return {t.id for t in plan.tasks if t.start >= 0}


def test_where_nothing_happens_all_is_untouched(worked: tuple[Scenario, Plan]) -> None:
    scenario, plan = worked
    assert untouched(scenario, scenario, plan) == _to_come(plan)


def test_a_mould_gone_touches_its_batch_and_the_rest_of_those_pieces(worked: tuple[Scenario, Plan]) -> None:
    scenario, plan = worked
    batch = next(b for b in plan.batches if b.press is not None)
    after = replace(scenario, moulds=tuple(m for m in scenario.moulds if m.id != batch.moulds[0]))
    touched = _to_come(plan) - untouched(scenario, after, plan)
    own = [b for b in plan.batches if b.press is not None and batch.moulds[0] in b.moulds]
    assert {t for b in own for t in (b.press, b.release, *b.steps)} <= touched
    others = [b for b in plan.batches if b not in own]
    assert not {t for b in others for t in (b.press, b.release, *b.steps)} & touched
    firings = {f.id for f in plan.firings if {p.source for p in f.pieces} & {b.id for b in own}}
    lots = [x for x in plan.lots if scenario.order[x.order].form != batch.form]
    assert not {x.glaze for x in lots} & touched  # pieces of other forms in the same firing are other pieces
    fed = [x for x in plan.lots if x not in lots and {p.source for p in x.sources} & firings]
    assert {x.glaze for x in fed} <= touched


def test_a_kiln_out_touches_its_firings_and_nothing_before_them(worked: tuple[Scenario, Plan]) -> None:
    scenario, plan = worked
    out = next(f for f in plan.firings if f.load is not None and plan.task[f.load].start >= 0)
    assert out.load is not None
    when = Span(plan.task[out.load].start, plan.task[out.unload].end)
    kilns = tuple(replace(k, closed=(when,)) if k.id == out.kiln else k for k in scenario.kilns)
    touched = _to_come(plan) - untouched(scenario, replace(scenario, kilns=kilns), plan)
    assert {out.load, out.unload} <= touched
    assert not {t.id for t in plan.tasks if t.kind in ("press", "release")} & touched


def test_an_order_that_changes_touches_its_glazing_and_finishing(worked: tuple[Scenario, Plan]) -> None:
    scenario, plan = worked
    order = plan.lots[0].order
    orders = tuple(replace(o, due=o.due - 1440) if o.id == order else o for o in scenario.orders)
    touched = _to_come(plan) - untouched(scenario, replace(scenario, orders=orders), plan)
    own = {x.glaze for x in plan.lots if x.order == order} | {n.task for n in plan.finishes if n.order == order}
    assert own & _to_come(plan) <= touched
    assert not {x.glaze for x in plan.lots if x.order != order} & touched


def test_afresh_begins_from_nothing_but_prices_moves(worked: tuple[Scenario, Plan]) -> None:
    scenario, plan = worked
    again = replace(scenario, previous=plan)
    assert repair(again) is not None
    assert repair(afresh(again)) is None
    assert all(h.keep == 0 for h in first_habits(afresh(again)))
    assert afresh(again).previous is not None
