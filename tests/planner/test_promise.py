"""Promises: they hold, they set nobody back, and small ones are right to the minute."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from planner.bench.studios import lifelike, strange
from planner.checks import check
from planner.costs import finished_at, reckon, steps_late, with_costs
from planner.dispatch import Habits, dispatch, first_plan
from planner.facts import Facts
from planner.faults import Refused
from planner.jsonio import plan_from_json, scenario_from_json, write_scenario
from planner.promise import Promise, promise
from planner.promise.horizon import longer
from planner.promise.standing import Standing
from planner.scenario import Scenario, Span
from planner.solve import solve
from tests.planner import builders as b
from tests.planner.conftest import Planner

DAY = 1440


def asked(s: Scenario, n: int = 0, qty: int = 8, **more: Any) -> Promise:
    """A promise for the ``n``-th form and the first glaze."""
    form = s.forms[n % len(s.forms)]
    return promise(s, form=form.id, glaze=s.glazes[0].id, qty=qty, **{"seconds": 0.3, "workers": 1} | more)


def with_plan(s: Scenario) -> Scenario:
    """The scenario with a plan that is followed now."""
    return replace(s, previous=first_plan(s))


def late(s: Scenario, plan: Any) -> dict[str, int]:
    return {o.id: o.late_min for o in reckon(s, plan).orders}


def later_in(s: Scenario, before: dict[str, int], after: dict[str, int]) -> set[str]:
    """Orders that have begun more steps of lateness than before."""
    step = s.weights.late_step
    return {o for o, n in after.items() if steps_late(n, step) > steps_late(before.get(o, 0), step)}


# one pot through an empty studio: 1 min to press, out after 60, dry after 60, two firings of 600 with 10 + 10 min
WAY = 1 + 60 + 1 + 60 + (10 + 600 + 10) + 1 + 60 + (10 + 600 + 10) + 1


def test_one_pot_in_an_empty_studio_takes_the_way_and_nothing_more() -> None:
    s = b.bisque_and_back(orders=())
    answer = promise(s, form="bowl", glaze="chalk", qty=1, seconds=0.3)
    assert answer.status == "promise" and answer.done == WAY
    assert answer.due == 2 * DAY - 8 * 60  # the studio starts at 8:00; the end of the second day
    assert answer.parts == ((WAY, 1),) and answer.earlier == () and answer.added_days == 0


def test_more_pots_than_moulds_wait_for_a_mould_to_be_dry_again() -> None:
    """Two moulds, three bowls: the third is pressed 1 + 60 + 1 + 60 min after the first at the earliest."""
    s = b.bisque_and_back(orders=())
    two = promise(s, form="bowl", glaze="chalk", qty=2, seconds=0.3)
    three = promise(s, form="bowl", glaze="chalk", qty=3, seconds=0.3)
    assert two.done is not None and three.done is not None and three.done >= two.done + 120
    assert three.reasons[0].code == "moulds" and three.reasons[0].counts == {"moulds": 2}
    assert three.reasons[-1].code == "way"


def test_more_moulds_are_offered_where_moulds_bind_and_the_gain_is_measured() -> None:
    """One filling a day in each of two moulds: twelve bowls take six days of pressing, with two more moulds half."""
    cast = b.cast(dry=DAY, required=True)
    s = b.bisque_and_back(orders=(), forms=[b.form(mould_rest=1300)], moulds=b.moulds(1), casts=[cast])
    answer = promise(s, form="bowl", glaze="chalk", qty=12, seconds=1.2)
    assert answer.done is not None and answer.done > 6 * DAY
    pours = {o.counts["moulds"]: o for o in answer.options if o.code == "pour"}
    assert pours[2].sooner_days is not None and pours[2].sooner_days >= 2
    for option in answer.options:
        assert option.sooner_min == answer.done - option.done
        assert option.done < answer.done
        assert check(option.scenario, option.plan) == []
        assert check(answer.scenario, option.plan) != []  # it needs what it asks for


def test_an_order_there_already_is_not_set_back_for_a_new_one() -> None:
    """One kiln for one shelf of ten: eight are promised for the first day possible, eight more must come later."""
    kiln = b.kiln(shelves=1, stack_mm=130)
    first = b.order(qty=8, due=2 * DAY)
    s = with_plan(b.bisque_and_back(orders=[first], kilns=[kiln], moulds=b.moulds(16)))
    assert s.previous is not None and s.previous.orders[0].late_min == 0
    answer = promise(s, form="bowl", glaze="chalk", qty=8, seconds=1)
    assert answer.status == "promise" and answer.plan is not None and answer.done is not None
    assert late(answer.scenario, answer.plan)["o1"] == 0
    done = {o.id: o.done for o in answer.plan.orders}
    assert answer.done > done["o1"] or done["o1"] <= first.due


def holds(answer: Promise) -> None:
    """The witness is valid, the order is there in time, and no present order is later than in the plan before."""
    s, plan = answer.scenario, answer.plan
    assert plan is not None and answer.reference is not None and answer.done is not None and answer.due is not None
    assert check(s, plan) == []
    without = replace(s, orders=s.orders[:-1])
    before, after = late(without, answer.reference), late(s, plan)
    assert check(without, replace(answer.reference, bound=None, status="feasible")) == []
    assert later_in(s, before, after) == set()
    asked_for = next(o for o in plan.orders if o.id == answer.order.id)
    assert not asked_for.reckoned and asked_for.done == answer.done <= answer.due
    assert s.day(answer.done) == s.day(answer.due - 1)
    assert sum(n for _, n in answer.parts) == answer.order.qty


@pytest.mark.parametrize("seed", range(9))
def test_a_promise_holds(seed: int) -> None:
    size = ("tiny", "tiny", "small")[seed % 3]
    s = lifelike(seed, size, load=(0.5, 0.8, 1.1)[seed % 3])
    answer = asked(with_plan(s) if seed % 2 else s, seed, qty=5 + seed)
    if answer.status == "promise":
        holds(answer)
    else:
        assert answer.reasons


@pytest.mark.parametrize("seed", range(6))
def test_the_order_added_and_planned_from_the_witness_makes_nobody_late(seed: int) -> None:
    """Planned with the witness as the plan before, nothing is late that was not; kept to it, nothing is even later."""
    answer = asked(with_plan(lifelike(100 + seed, "tiny", load=0.6)), seed)
    if answer.status == "none":
        assert answer.reasons[0].code == "not_within"
        return
    assert answer.plan is not None and answer.reference is not None
    added = replace(answer.scenario, previous=answer.plan, pins=())
    kept = dispatch(added, Habits(keep=added.horizon))
    assert kept is not None and check(added, with_costs(added, kept)) == []
    before = late(replace(answer.scenario, orders=answer.scenario.orders[:-1]), answer.reference)
    after = late(added, kept)
    assert after.pop(answer.order.id) == 0
    assert later_in(added, before, after) == set()
    plan = solve(added, seconds=0)
    assert {o for o, n in late(added, plan).items() if n} <= {o for o, n in before.items() if n}


@pytest.mark.parametrize("seed", range(14))
def test_strange_studios_get_an_answer_that_holds_or_reasons(seed: int) -> None:
    s = strange(seed)
    if not s.forms or not s.glazes:
        return
    answer = asked(s, seed, qty=4, seconds=0.2, most_days=21)
    if answer.status == "promise":
        holds(answer)
    else:
        assert answer.reasons or answer.status == "none"


def test_answers_come_early_and_only_get_better() -> None:
    s = with_plan(lifelike(5, "small", load=0.8))
    seen: list[Promise] = []
    last = asked(s, 1, qty=12, seconds=1.5, on_progress=seen.append)
    dates = [x.done for x in seen if x.done is not None]
    assert dates and seen[0].seconds < 2 and dates == sorted(dates, reverse=True)
    assert last.done is not None and last.done <= dates[-1] and last.final


def test_without_a_plan_to_measure_by_a_first_date_comes_before_a_good_plan_is_made() -> None:
    seen: list[Promise] = []
    last = asked(lifelike(6, "tiny", load=0.6), seconds=2, on_progress=seen.append)
    assert "quick plan" in seen[0].notes[0] and seen[0].done is not None and seen[0].seconds < 2
    assert "one was made first" in last.notes[0] and last.final
    holds(last)


def test_a_wish_to_stop_is_heard() -> None:
    s = with_plan(lifelike(5, "tiny", load=0.6))
    answer = asked(s, seconds=60, should_stop=lambda: True)
    assert answer.seconds < 5


def test_earlier_days_say_who_would_be_later() -> None:
    s = with_plan(lifelike(12, "small", load=0.9))
    answer = asked(s, 1, qty=15, seconds=1.2)
    assert answer.status == "promise" and answer.done is not None
    for day in answer.earlier:
        assert day.done < answer.done and day.later
        for row in day.later:
            assert row.pieces >= 1 and row.minutes >= 1 and row.order in s.order
        due = replace(answer.order, due=day.due)
        there = replace(answer.scenario, orders=(*answer.scenario.orders[:-1], due))
        assert check(there, day.plan) == []
    assert [x.done for x in answer.earlier] == sorted((x.done for x in answer.earlier), reverse=True)


# days that are not given


def test_days_added_repeat_the_week() -> None:
    hours = [(d * DAY, d * DAY + 480) for d in range(5)]  # Monday to Friday from 8:00
    s = b.scenario(people=[b.person(hours=hours, extra=[(10 * DAY, 10 * DAY + 60)])], horizon=7 * DAY)
    more = longer(s, 14)
    assert more.horizon == 21 * DAY
    assert [a // DAY for a, _ in more.people[0].hours] == [0, 1, 2, 3, 4, 7, 8, 9, 10, 11, 14, 15, 16, 17, 18]
    assert Span(10 * DAY + 60, 10 * DAY + 480) in more.people[0].hours  # less what is offered as extra already
    assert longer(s, 7).people[0].hours[:5] == s.people[0].hours


def test_a_week_off_at_the_end_is_not_repeated() -> None:
    hours = [(d * DAY, d * DAY + 480) for d in range(5)]
    more = longer(b.scenario(people=[b.person(hours=hours)], horizon=14 * DAY), 7)
    assert [a // DAY for a, _ in more.people[0].hours][5:] == [14, 15, 16, 17, 18]


def test_an_order_that_takes_longer_than_the_days_given_is_promised_later_and_it_is_said() -> None:
    s = b.bisque_and_back(orders=(), horizon=1000, people=[b.person(hours=[(0, 1000)])])
    answer = promise(s, form="bowl", glaze="chalk", qty=1, seconds=0.3)
    assert answer.status == "promise" and answer.added_days == 14 and "14 days were added" in " ".join(answer.notes)
    assert answer.done is not None and answer.done >= WAY
    holds(answer)


def test_not_within_so_many_days_is_said_plainly() -> None:
    s = b.bisque_and_back(orders=(), people=[b.person(hours=[(0, 10)])])
    answer = promise(s, form="bowl", glaze="chalk", qty=1, seconds=0.3, most_days=20)
    assert answer.status == "none" and answer.plan is None
    assert answer.reasons[0].code == "not_within" and answer.reasons[0].counts["days"] == 20


# what cannot be


def test_what_can_never_be_made_is_impossible_with_the_reason() -> None:
    worn = b.bisque_and_back(orders=(), moulds=b.moulds(2, uses_left=3))
    answer = promise(worn, form="bowl", glaze="chalk", qty=7, seconds=0.3)
    assert answer.status == "impossible"
    assert [(r.code, r.counts) for r in answer.reasons] == [
        ("mould_uses", {"uses": 6, "under_way": 0, "asked": 7}),
    ]
    unskilled = b.bisque_and_back(orders=(), people=[b.person(skills=["press", "release", "load", "unload", "finish"])])
    found = promise(unskilled, form="bowl", glaze="chalk", qty=1, seconds=0.3)
    assert [r.things["kind"] for r in found.reasons] == ["glaze"]


def test_an_unknown_form_or_glaze_is_refused_with_what_would_be_right() -> None:
    s = b.bisque_and_back()
    with pytest.raises(Refused, match=r'/form: there is no form "bowll"; did you mean "bowl"\?'):
        promise(s, form="bowll", glaze="chalk", qty=1)
    with pytest.raises(Refused, match="/glaze: there is no glaze"):
        promise(s, form="bowl", glaze="x", qty=1)
    with pytest.raises(Refused, match="/qty"):
        promise(s, form="bowl", glaze="chalk", qty=0)


# how far others are set back


def test_setbacks_are_counted_piece_by_piece() -> None:
    """Five owed by 100: two packed at 90 and three at 300; then one at 90, two at 310, two not at all."""
    s = b.bisque_and_back(
        orders=[b.order(qty=5, due=100)], wip=[b.fired("w1", count=5)], horizon=1000, to_finish=b.to_finish()
    )

    def plan(*rows: tuple[int, int]) -> Any:
        tasks = [b.task(f"t{i}", "finish", end - n, end) for i, (n, end) in enumerate(rows)]
        finishes = [b.finish(f"n{i}", source="w1", count=n, task=f"t{i}") for i, (n, _) in enumerate(rows)]
        return b.plan(tasks, finishes=finishes)

    standing = Standing(s, plan((2, 90), (3, 300)))
    assert standing.setbacks(Facts(s, plan((2, 100), (3, 300)))) == ()  # still in time
    (row,) = standing.setbacks(Facts(s, plan((1, 90), (2, 310))))
    # the second piece: 310 - 100; the third: 310 - 300; two left fired at the end, 1000 + 100, were at 300
    assert row.piece_minutes == 210 + 10 + 2 * 800
    assert (row.pieces, row.minutes) == (4, 800)
    times = {o.id: t for o, t in finished_at(Facts(s, plan((1, 90), (2, 310))))}
    assert times["o1"].reckoned == ((1100, 2),)


# the command


def test_the_command_answers_with_a_plan_that_the_checker_accepts(tmp_path: Path, planner: Planner) -> None:
    path, out = tmp_path / "s.json", tmp_path / "p.json"
    path.write_bytes(write_scenario(lifelike(3, "tiny", load=0.5)))
    form = lifelike(3, "tiny", load=0.5).forms[0].id
    done = planner("promise", path, "--form", form, "--glaze", "chalk", "--qty", 4, "--seconds", 1, "-o", out)
    assert done.returncode == 0, done.stderr
    said = json.loads(out.read_bytes())
    assert said["status"] == "promise" and said["due"] >= said["done"] > 0 and said["reasons"]
    assert check(scenario_from_json(said["scenario"]), plan_from_json(said["plan"])) == []
    assert sum(x["pieces"] for x in said["parts"]) == 4


def test_the_command_refuses_what_it_does_not_know_without_a_trace(tmp_path: Path, planner: Planner) -> None:
    path = tmp_path / "s.json"
    path.write_bytes(write_scenario(b.bisque_and_back()))
    unknown = planner("promise", path, "--form", "vase", "--glaze", "chalk", "--qty", 4)
    assert unknown.returncode == 2 and unknown.stderr == '--form: there is no form "vase"; use one of "bowl"\n'
    missing = planner("promise", tmp_path / "none.json", "--form", "vase", "--glaze", "chalk", "--qty", 4)
    assert missing.returncode == 2 and "Traceback" not in missing.stderr
    few = planner("promise", path, "--form", "bowl", "--glaze", "chalk", "--qty", 0)
    assert few.returncode == 2 and "0 is not within 1 and 1000000 pieces" in few.stderr


def test_the_command_says_impossible_with_its_own_code(tmp_path: Path, planner: Planner) -> None:
    path = tmp_path / "s.json"
    path.write_bytes(write_scenario(b.bisque_and_back(orders=(), moulds=())))
    done = planner("promise", path, "--form", "bowl", "--glaze", "chalk", "--qty", 4)
    assert done.returncode == 3 and json.loads(done.stdout)["status"] == "impossible"
