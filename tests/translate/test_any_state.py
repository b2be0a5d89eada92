"""Whatever commands and facts do to a studio, at whatever time, it gives a scenario that the planner takes.

A machine makes a studio, sends commands (sensible and not), puts facts on record that contradict each other, lets time
pass across the days on which clocks change, and after each step has the scenario made, written and read.
"""

from __future__ import annotations

import datetime as dt
import os
from collections import Counter
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from planner.checks import check
from planner.craft.clashes import load_faults
from planner.dispatch import first_plan
from planner.jsonio import read_scenario, write_scenario
from studio import models
from studio.models import Cast, Form, Kiln, Mould, Order, OrderLine, Person, Station, Studio, Tool
from studio.queries.bags_seen import bags_seen
from studio.queries.casting import casting_of
from studio.queries.clay_seen import clay_seen
from studio.queries.mould_lives import mould_lives
from studio.queries.plans import current_plan
from studio.queries.record import minute_of
from studio.record.facts import Fact
from studio.record.form import CAST_STEPS
from studio.record.forms import STEPS as FORM_STEPS
from studio.services import plans
from studio.services.record import NewFact, append_facts
from studio.translate import scenario_at
from studio.translate.placing import Placer
from studio.translate.rows import Rows
from studio.translate.shelf import shares_of
from tests.record.anything import KINDS, one_of_each, records
from tests.record.making import T0
from tests.services.shop import Shop

EXAMPLES = int(os.environ.get("ANY_STATE_EXAMPLES", "20"))
STEPS = int(os.environ.get("ANY_STATE_STEPS", "25"))
# A failure is told as it is found: making it smaller takes many times as long. ANY_STATE_SHRINK=1 does so.
PHASES = tuple(Phase) if os.environ.get("ANY_STATE_SHRINK") else (Phase.explicit, Phase.generate)
reached: Counter[str] = Counter()

# Evenings before the clocks go forward or back: 28 March and 31 October 2027 in London, 14 March in New York,
# 4 April on Lord Howe Island, where they move by half an hour.
CHANGES = [
    ("Europe/London", dt.datetime(2027, 3, 27, 20, 0)),
    ("Europe/London", dt.datetime(2027, 10, 30, 20, 0)),
    ("America/New_York", dt.datetime(2027, 3, 13, 23, 30)),
    ("Australia/Lord_Howe", dt.datetime(2027, 4, 3, 9, 0)),
    ("Asia/Kathmandu", dt.datetime(2027, 6, 1, 3, 17)),
]
WINDOWS = st.sampled_from([[0, 1], [240, 480], [720, 1440], [0, 4320]])
STEP = st.fixed_dictionaries({
    "kind": st.sampled_from(["turn", "join", "sponge"]), "fixed": st.integers(0, 30), "each_s": st.integers(0, 400),
    "after": WINDOWS, "after_covered": st.none() | WINDOWS,
})  # fmt: skip

CAST_STEP = st.sampled_from(CAST_STEPS)


class Ids:
    """New ids in rising order instead of random ones, so that the same choices lead to the same studio."""

    def __init__(self) -> None:
        self.last, self.waiting = 0, ""

    def next(self) -> str:
        self.last += 1
        return f"n{self.last:011d}"

    def choice(self, _alphabet: str) -> str:
        """The next character of an id, for who puts one together character by character."""
        self.waiting = self.waiting or self.next()
        first, self.waiting = self.waiting[0], self.waiting[1:]
        return first


new_ids = Ids()


class AnyStudio(RuleBasedStateMachine):
    """One studio in all kinds of trouble."""

    @initialize(
        change=st.sampled_from(CHANGES), furnished=st.sampled_from([True, True, True, False]),
        facts=st.just([]) | records(40),
    )  # fmt: skip
    def open(self, change: tuple[str, dt.datetime], furnished: bool, facts: list[Fact]) -> None:
        zone, at = change
        self.shop = Shop(now=at.replace(tzinfo=dt.UTC))
        self.send("studio_save", name="Anywhere", time_zone=zone, units="metric", week="damp", version=1)
        if furnished:
            self.shop.furnish(moulds=5)
            self.line = self.shop.order(qty=7, days=9)
            self.a_plan_is_made_and_used()
            self.ware_comes_to_the_shelf()
        if facts:
            self.anything_is_put_on_record(facts, 0)

    def ids(self, model: Any) -> list[str]:
        return list(model.objects.filter(studio=self.shop.studio).order_by("pk").values_list("public_id", flat=True))

    def send(self, kind: str, **payload: Any) -> None:
        answer = self.shop.send(kind, client_id=new_ids.next(), **payload)
        assert answer.status != 500, (kind, payload, answer)
        reached[f"{kind} {answer.status}"] += 1

    def edit(self, kind: str, model: Any, key: str, data: st.DataObject, **payload: Any) -> None:
        """A command on one of the studio's rows, with the version that it has."""
        rows = list(model.objects.filter(studio=self.shop.studio).order_by("pk"))
        if rows:
            row = data.draw(st.sampled_from(rows), label=key)
            self.send(kind, **{key: row.public_id, "version": row.version}, **payload)

    # Time

    @rule(minutes=st.sampled_from([1, 45, 200, 600, 900, 1440, 4000, 12_000]))
    def time_passes(self, minutes: int) -> None:
        self.shop.later(minutes=minutes)

    # What a person enters

    @rule(data=st.data(), week=st.sampled_from(["damp", "ordinary", "dry"]))
    def the_weather_changes(self, data: st.DataObject, week: str) -> None:
        self.send("week_set", week=week)

    @rule(enough=st.sampled_from(["average", "4of5", "9of10", "19of20"]))
    def enough_is_wanted_more_surely(self, enough: str) -> None:
        studio = Studio.objects.get(pk=self.shop.studio.pk)
        said = {k: getattr(studio, k) for k in ("name", "time_zone", "units", "week", "version")}
        self.send("studio_save", **said, enough=enough)

    @rule(celsius=st.sampled_from([0, 12, 18, 50]), humidity=st.sampled_from([5, 55, 98]))
    def somebody_reads_the_hygrometer(self, celsius: int, humidity: int) -> None:
        self.send("air_set", temperature_c=celsius, humidity_pct=humidity)

    @rule(warmth=st.sampled_from([0, 24, 35, 60]), humidity=st.sampled_from([5, 60, 98]), forms=st.booleans())
    def moulds_dry_in_a_cupboard(self, warmth: int, humidity: int, forms: bool) -> None:
        version = Studio.objects.get(pk=self.shop.studio.pk).version
        chosen = self.ids(Form) if forms else []
        self.send("cupboard_save", warmth_c=warmth, humidity_pct=humidity, forms=chosen, version=version)

    @rule(data=st.data(), upto=st.sampled_from([500, 1000, 1400]), opens=st.sampled_from([40, 100, 120]))
    def a_firing_is_set(self, data: st.DataObject, upto: int, opens: int) -> None:
        self.edit("program_ramps", models.Program, "program", data, rate_c=["100"], target_c=[str(upto)])
        self.edit("kiln_plate", Kiln, "kiln", data, power_kw=11.5, open_c=opens)

    @rule(data=st.data(), read=st.sampled_from([None, 30, 300, 900]), top=st.sampled_from([None, 400, 1250]),
          kwh=st.sampled_from([None, "0.1", 90]), off=st.booleans())  # fmt: skip
    def a_firing_is_read(self, data: st.DataObject, read: int | None, top: int | None, kwh: Any, off: bool) -> None:
        firings = sorted(self.shop.state.firings)
        if firings:
            firing = data.draw(st.sampled_from(firings), label="firing")
            self.send("fired", firing=firing, read_c=read, top_c=top, kwh=kwh, off_now=off)

    @rule(
        days=st.integers(-30, 40) | st.sampled_from([200, 4000]), qty=st.sampled_from([1, 6, 30, 400]),
        data=st.data(), weight=st.integers(1, 3),
    )  # fmt: skip
    def an_order_comes(self, days: int, qty: int, data: st.DataObject, weight: int) -> None:
        forms, glazes = self.ids(Form), [self.shop.ids.get("glaze", "none")]
        if forms:
            due = (self.shop.now + dt.timedelta(days=days)).date().isoformat()
            form = data.draw(st.sampled_from(forms))
            self.send("order_new", customer_name="Fen", due=due, weight=weight,
                      lines=[{"form": form, "glaze": glazes[0], "qty": qty}])  # fmt: skip

    @rule(data=st.data())
    def an_order_is_cancelled(self, data: st.DataObject) -> None:
        self.edit("order_cancel", Order, "order", data)

    @rule(shape=st.sampled_from(["mug", "dinner_plate", "bowl"]), moulds=st.integers(0, 6))
    def a_form_is_added(self, shape: str, moulds: int) -> None:
        self.send("form_new", name=shape, shape=shape, fired_mm=120, moulds=moulds)

    @rule(
        data=st.data(), steps=st.lists(STEP, max_size=3, unique_by=lambda s: s["kind"]), loss=st.integers(0, 90),
        after=WINDOWS, covered=st.none() | WINDOWS, rest=st.sampled_from([0, 700, 80_000]),
    )  # fmt: skip
    def a_form_is_changed(
        self, data: st.DataObject, steps: list, loss: int, after: list, covered: list | None, rest: int
    ) -> None:
        self.edit("form_change", Form, "form", data, steps=steps, loss_glost_pct=loss, release_after=after,
                  release_after_covered=covered, mould_rest_min=rest)  # fmt: skip

    @rule(
        data=st.data(), what=st.sampled_from([(Form, "form"), (Kiln, "kiln"), (Person, "person"), (Station, "station")])
    )
    def something_is_put_away(self, data: st.DataObject, what: tuple[Any, str]) -> None:
        self.edit(f"{what[1]}_retire", what[0], what[1], data)

    @rule(
        starts=st.times().map(lambda t: t.strftime("%H:%M")), hours=st.integers(0, 9), weekday=st.integers(0, 6),
        evening=st.booleans(), data=st.data(),
    )  # fmt: skip
    def hours_are_set(self, starts: str, hours: int, weekday: int, evening: bool, data: st.DataObject) -> None:
        ends = f"{min(23, int(starts[:2]) + hours):02}:59"
        line = {"weekday": weekday, "starts": starts, "ends": ends, "evening": evening}
        day = {"weekday": (weekday + 1) % 7, "starts": "08:00", "ends": "17:00", "evening": False}
        self.edit("hours_save", Person, "person", data, hours=[line, day])

    @rule(data=st.data(), first=st.integers(-2, 10), days=st.integers(0, 12))
    def somebody_is_off(self, data: st.DataObject, first: int, days: int) -> None:
        day = self.shop.now.date() + dt.timedelta(days=first)
        for person in self.ids(Person)[:1]:
            self.send("day_off", person=person, first=day.isoformat(), last=(day + dt.timedelta(days=days)).isoformat())

    @rule(weekday=st.integers(0, 6), starts=st.sampled_from(["00:00", "01:30", "09:00"]),
          ends=st.sampled_from(["02:15", "12:00", "23:59"]), what=st.sampled_from([(Person, "people"), (Kiln, "kilns"),
                                                                                  (Station, "stations")]))  # fmt: skip
    def time_is_blocked(self, weekday: int, starts: str, ends: str, what: tuple[Any, str]) -> None:
        self.send(
            "blocked_save", name="Class", weekday=weekday, starts=starts, ends=ends, **{what[1]: self.ids(what[0])}
        )

    @rule(weekday=st.integers(0, 6), minutes=st.sampled_from([1, 60, 700]), mine=st.booleans())
    def there_is_other_work(self, weekday: int, minutes: int, mine: bool) -> None:
        who = self.ids(Person)[:1]
        self.send("job_save", name="Plaster", minutes=minutes, weekday=weekday, starts="13:00", ends="17:00",
                  person=who[0] if who and mine else None)  # fmt: skip

    @rule(first=st.integers(-3, 9), days=st.integers(1, 9), minutes=st.sampled_from([30, 600]))
    def there_is_work_once(self, first: int, days: int, minutes: int) -> None:
        a = self.shop.now + dt.timedelta(days=first)
        self.send("job_save", name="Fair", minutes=minutes, not_before=a.isoformat(),
                  not_after=(a + dt.timedelta(days=days)).isoformat())  # fmt: skip

    @rule(data=st.data(), required=st.booleans(), dry=st.sampled_from([60, 11_520]))
    def a_mould_may_be_poured(self, data: st.DataObject, required: bool, dry: int) -> None:
        for form in self.ids(Form)[:1]:
            self.send("cast_save", form=form, required=required, dry_min=dry)

    @rule(minutes=st.sampled_from([0, 1, 180, 1440]), name=st.sampled_from(["Bowl 18", "Cup"]))
    def a_form_is_begun(self, minutes: int, name: str) -> None:
        self.send("form_begin", name=name, shape="bowl", fired_mm=180)
        for form in self.begun()[-1:]:
            said = {"drawing_min": minutes, "trial_pressings_min": minutes}
            self.send("step_plan", form=form.public_id, version=form.version, **said)

    @rule(step=st.sampled_from(FORM_STEPS), back=st.booleans())
    def a_form_is_brought_on(self, step: str, back: bool) -> None:
        for form in self.begun()[:1]:
            self.send("form_step", form=form.public_id, step=step)
            said = models.Fact.objects.filter(studio=self.shop.studio, kind="form_step").order_by("seq").last()
            if back and said is not None:
                self.send("undo", fact=said.public_id)

    def begun(self) -> list[Form]:
        return list(Form.objects.filter(studio=self.shop.studio, begun_at__isnull=False).order_by("pk"))

    # What happens

    @rule(facts=records(25), shift=st.integers(-9000, 0))
    def anything_is_put_on_record(self, facts: list[Fact], shift: int) -> None:
        """Straight on the record: what other devices, late or wrong, may have told."""
        self._put(facts, shift)

    @rule(facts=one_of_each(), shift=st.integers(-9000, 0))
    def everything_is_put_on_record(self, facts: list[Fact], shift: int) -> None:
        """However many kinds there are, none is left to chance."""
        self._put(facts, shift)

    def _put(self, facts: list[Fact], shift: int) -> None:
        names = self._names()
        ids = {f.id: new_ids.next() for f in facts}
        base = minute_of(self.shop.now) - T0 + shift
        new = [
            NewFact(
                ids[f.id], f.kind, _translated(f.data, {**names, **ids}, base), min(f.happened + base, base + T0), None
            )
            for f in facts
        ]
        append_facts(studio=self.shop.studio, facts=new, command=None, now=self.shop.now)
        reached.update(f.kind for f in facts)

    def _names(self) -> dict[str, str]:
        """The ids of the random facts as ids of this studio, where it has such things."""
        pairs = [
            ("bowl", Form), ("mug", Form), ("a", Kiln), ("b", Kiln), ("o-1", OrderLine), ("o-2", OrderLine),
            ("jolley", Station), ("p1", Person), ("c1", Cast), ("t1", Tool), ("t2", Tool),
        ]  # fmt: skip
        names: dict[str, str] = {}
        for model in {m for _name, m in pairs}:
            wanted, there = [n for n, m in pairs if m is model], self.ids(model)
            names |= {n: there[i % len(there)] for i, n in enumerate(wanted) if there}
        names |= {f"m{i + 1}": m for i, m in enumerate(self.ids(Mould)[:5])}
        own = self.shop.ids
        names |= {k: own[v] for k, v in (("chalk", "glaze"), ("p", "bisque")) if v in own}
        today = self.shop.now.date().isoformat()
        return names | {"j1": f"job-{today}"}

    @rule(kg=st.sampled_from([0, 0.5, 40]), how=st.sampled_from(["delivered", "pugged"]), step=CAST_STEP)
    def clay_and_plaster_come_and_go(self, kg: float, how: str, step: str) -> None:
        """And whatever stands there can be told."""
        self.send("clay_in", clay_name="Grey", kg=kg, how=how, reclaim_kg=0.2)
        self.send("plaster_in", kg=kg, made="2024-01-01")
        for cast in self.ids(Cast)[:1]:
            self.send("mould_mix", form=Cast.objects.get(public_id=cast).form.public_id, ml=3000)
            self.send("cast_step", cast=cast, step=step)
            self.send("poured", cast=cast, kg=kg)
            assert casting_of(self.shop.studio, cast, self.shop.now) is not None
        assert clay_seen(self.shop.studio, self.shop.now).bodies or not kg
        assert bags_seen(self.shop.studio, self.shop.now).left >= 0
        assert all(f.worn <= f.n for f in mould_lives(self.shop.studio, self.shop.now).forms)

    @rule(count=st.integers(1, 8), covered=st.booleans())
    def pressed(self, count: int, covered: bool) -> None:
        for form in self.ids(Form)[:1]:
            self.send("pressed", form=form, count=count, covered=covered)

    @precondition(lambda self: "form" in self.shop.ids)
    @rule(stage=st.sampled_from(["leather", "bisqued", "glazed", "fired"]), count=st.sampled_from([1, 9, 90]))
    def ware_stood_there(self, stage: str, count: int) -> None:
        self.send("opening_ware", form=self.shop.ids["form"], count=count, stage=stage, glaze=self.shop.ids["glaze"])
        if stage == "fired":
            self.pots_are_sorted(count)

    def ware_comes_to_the_shelf(self) -> None:
        own = {"form": self.shop.ids["form"], "glaze": self.shop.ids["glaze"]}
        self.send("opening_ware", **own, count=9, stage="fired")
        self.pots_are_sorted(9)

    def pots_are_sorted(self, count: int) -> None:
        """Sorted, most of them seconds; some are taken by a customer, some leave, some are sent, as far as each can."""
        own = {"form": self.shop.ids["form"], "glaze": self.shop.ids["glaze"]}
        self.send("sorted", **own, firsts=count // 9, seconds=count - count // 9)
        for line in [x.public_id for x in Rows(self.shop.studio).lines[-1:]]:
            self.send("seconds_taken", line=line, count=1)
            self.send("off_shelf", **own, seconds=1, how="broken")
            self.send("shipped", lines=[{"line": line, "count": 2}])
        state, shares = self.shop.state, shares_of(self.shop.state, Rows(self.shop.studio).lines)
        held = shares.lines.values()
        assert sum(shares.firsts.values()) + sum(x.firsts + x.stock for x in held) == sum(state.shelf.values())
        assert sum(shares.seconds.values()) + sum(x.seconds for x in held) == sum(state.seconds.values())
        assert min([*shares.firsts.values(), *shares.seconds.values()], default=0) >= 0

    @rule(piece_lost=st.booleans())
    def a_mould_cracks(self, piece_lost: bool) -> None:
        for form in self.ids(Form)[:1]:
            self.send("mould_cracked", form=form, piece_lost=piece_lost)

    @rule(days=st.none() | st.integers(1, 30))
    def the_kiln_fails(self, days: int | None) -> None:
        until = None if days is None else (self.shop.now + dt.timedelta(days=days)).isoformat()
        for kiln in self.ids(Kiln)[:1]:
            self.send("kiln_out", kiln=kiln, until=until)

    @rule(minutes=st.sampled_from([10, 60, 600]), days=st.integers(1, 5), data=st.data())
    def ware_is_asked_about(self, minutes: int, days: int, data: st.DataObject) -> None:
        wares = [w.id for w in self.shop.state.ware.values() if w.stage in ("in_mould", "leather")]
        if wares:
            batch = data.draw(st.sampled_from(wares))
            self.send("too_soft", batch=batch, minutes=minutes)
            until = (self.shop.now + dt.timedelta(days=days)).isoformat()
            self.send("still_good", batch=batch, until=until)

    # Planning and doing

    @precondition(lambda self: hasattr(self, "line"))
    @rule(days=st.integers(1, 12))
    def days_of_the_plan_are_done(self, days: int) -> None:
        """A plan followed for some days, kilns and all."""
        live = current_plan(self.shop.studio)
        if live is not None:
            last = live.minute(self.shop.now) + days * 1440
            self.tasks_are_done(sum(t.end <= last for t in live.plan.tasks))

    @rule()
    def a_plan_is_made_and_used(self) -> None:
        made = scenario_at(self.shop.studio, self.shop.now)
        plan = first_plan(made.scenario)
        if plan is None:
            reached["no plan"] += 1
            return
        assert check(made.scenario, plan) == []
        reached["plan valid"] += 1
        placing = Placer(self.shop.studio).place(plan, made.scenario)
        for kept in placing.loads.values():
            assert load_faults(kept.laid.load, kept.laid.stack, kept.laid.wares) == []
        row = plans.save_plan(
            studio=self.shop.studio, made=made, plan=plan, now=self.shop.now, placing=placing
        )  # fmt: skip
        accepted = plans.accept_plan(studio=self.shop.studio, plan=row, now=self.shop.now)
        assert accepted.used
        self.new_things_have_new_ids()

    def new_things_have_new_ids(self) -> None:
        """Nothing that is still to be made has the id of anything that ever was."""
        live, state = current_plan(self.shop.studio), self.shop.state
        assert live is not None
        to_make = [b.id for b in live.plan.batches if b.press] + [x.id for x in live.plan.lots]
        to_make += [f.id for f in live.plan.firings if f.load]
        assert not set(to_make) & state.ids and not set(live.plan.task) & set(state.done_tasks)

    @rule(n=st.integers(1, 20))
    def tasks_are_done(self, n: int) -> None:
        live = current_plan(self.shop.studio)
        if live is None:
            return
        done = self.shop.state.done_tasks
        left = sorted((t for t in live.plan.tasks if t.id not in done), key=lambda t: (t.start, t.id))[:n]
        if left:
            self.shop.now = max(self.shop.now, live.when(left[-1].end).astimezone(dt.UTC))
            self.send("done_up_to", tasks=[t.id for t in left])

    @rule(data=st.data())
    def an_old_plan_is_taken_again(self, data: st.DataObject) -> None:
        """It is used or refused; and how far it may be moved can be told in either case."""
        rows = list(models.Plan.objects.filter(studio=self.shop.studio).order_by("pk"))
        if rows:
            row = data.draw(st.sampled_from(range(len(rows))), label="plan")
            accepted = plans.accept_plan(studio=self.shop.studio, plan=rows[row], now=self.shop.now)
            reached["old plan used" if accepted.used else "old plan refused"] += 1
            assert models.Plan.objects.filter(studio=self.shop.studio, is_current=True).count() == 1

    @rule(n=st.integers(1, 3))
    def something_is_undone(self, n: int) -> None:
        facts = models.Fact.objects.filter(studio=self.shop.studio).order_by("-seq")[n - 1 : n]
        for row in facts:
            self.send("undo", fact=row.public_id)

    @invariant()
    def the_planner_takes_it(self) -> None:
        if not hasattr(self, "shop"):
            return
        self.shop.studio.refresh_from_db()
        made = scenario_at(self.shop.studio, self.shop.now)
        assert read_scenario(write_scenario(made.scenario)) == made.scenario
        assert made.start <= self.shop.now < made.start + dt.timedelta(minutes=1)
        reached.update(w.stage for w in made.scenario.wip)


def _translated(value: Any, names: dict[str, str], base: int) -> Any:
    """Random data with this studio's ids and with times about now."""
    if isinstance(value, dict):
        return {k: _translated(v, names, base) for k, v in value.items()}
    if isinstance(value, list):
        return [_translated(v, names, base) for v in value]
    if isinstance(value, str):
        return names.get(value, value)
    return value + base if isinstance(value, int) and value > 10**6 else value


@pytest.mark.django_db
@pytest.mark.one_lane  # the slowest test; the other database adds nothing to what it finds
def test_any_state_gives_a_scenario_that_the_planner_takes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("studio.services.record.EVERY", 12)  # so that snapshots are at work
    monkeypatch.setattr("studio.services.record.SETTLED", 3)
    monkeypatch.setattr("studio.record.points.SETTLED", 3)
    monkeypatch.setattr("studio.models.base.secrets", new_ids)
    reached.clear()
    run_state_machine_as_test(
        AnyStudio,
        settings=settings(
            phases=PHASES,
            max_examples=EXAMPLES, stateful_step_count=STEPS, deadline=None, database=None,
            derandomize="ANY_STATE_EXAMPLES" not in os.environ,
            suppress_health_check=list(HealthCheck),
        ),
    )  # fmt: skip
    assert {"in_mould", "bisqued", "plan valid", "done_up_to 200", "opening_ware 200"} <= set(reached), reached
    assert {"seconds_taken 200", "off_shelf 200", "shipped 200"} <= set(reached), reached
    assert set(KINDS) <= set(reached), reached
