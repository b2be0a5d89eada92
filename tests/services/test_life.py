"""A form's life: begun as a drawing, brought on by what is said and what is recorded, its next step in the plan."""

from __future__ import annotations

from typing import Any

import pytest

from planner.checks import check
from studio.models import Cast, Fact, Form, Mould
from studio.queries.lives import life_of, without_moulds
from studio.record.forms import STEPS, step_job
from studio.translate import scenario_at
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def new(shop: Shop) -> str:
    """A form that is a drawing."""
    return shop.do("form_begin", name="Bowl 18", shape="bowl", fired_mm=180).data["form"]


def nexts(shop: Shop, form: str) -> list[str]:
    life = life_of(shop.studio, Form.objects.get(public_id=form))
    assert life is not None
    return [s.key for s in life.next]


def say(shop: Shop, form: str, *steps: str) -> None:
    for step in steps:
        shop.do("form_step", form=form, step=step)
        shop.later(minutes=10)


def jobs(shop: Shop) -> dict[str, tuple[str | None, int]]:
    return {j.id: (j.name, j.minutes) for j in scenario_at(shop.studio, shop.now).scenario.jobs}


def test_a_new_form_is_a_drawing_without_moulds_and_its_drawing_is_a_job(shop: Shop, new: str) -> None:
    assert Mould.objects.filter(form__public_id=new).count() == 0
    assert nexts(shop, new) == ["drawing"]
    assert jobs(shop) == {step_job(new, "drawing"): ("Draw Bowl 18", 120)}  # minutes: common practice, no source


def test_each_step_said_leads_to_the_next_and_mould_and_tool_stand_side_by_side(shop: Shop, new: str) -> None:
    say(shop, new, "drawing")
    assert jobs(shop) == {step_job(new, "model"): ("Turn the model for Bowl 18", 180)}
    say(shop, new, "model")
    assert nexts(shop, new) == ["trial_mould", "tool"]
    assert set(jobs(shop)) == {step_job(new, "tool")}  # the mould is poured: a cast, no job
    say(shop, new, *STEPS[2:])
    life = life_of(shop.studio, Form.objects.get(public_id=new))
    assert life is not None and life.made and jobs(shop) == {}


def test_no_mould_is_poured_before_there_is_a_model(shop: Shop, new: str) -> None:
    assert scenario_at(shop.studio, shop.now).scenario.casts == ()
    say(shop, new, "drawing", "model")
    (cast,) = scenario_at(shop.studio, shop.now).scenario.casts
    assert (cast.form, cast.required) == (new, True)
    shop.do("undo", fact=Fact.objects.get(studio=shop.studio, data__step="model").public_id)
    assert scenario_at(shop.studio, shop.now).scenario.casts == ()


def test_a_plan_has_the_job_and_the_pour_and_doing_them_is_the_step(shop: Shop, new: str) -> None:
    say(shop, new, "drawing", "model")
    live = shop.plan()
    assert check(live.scenario, live.plan) == []
    (cast,), (job,) = live.plan.casts, live.plan.jobs
    assert (job.id, cast.pour is not None) == (step_job(new, "tool"), True)
    shop.now = live.when(live.plan.task[job.task].end)
    answer = shop.do("task_done", task=job.task)
    assert nexts(shop, new) == ["trial_mould"]
    shop.do("undo", command=answer.undo)
    assert nexts(shop, new) == ["trial_mould", "tool"]


def test_trials_wait_until_the_mould_is_dry(shop: Shop, new: str) -> None:
    say(shop, new, "drawing", "model", "tool")
    cast = Cast.objects.get(form__public_id=new)
    shop.do("poured", cast=cast.public_id)
    shop.later(hours=1)
    shop.do("lifted", cast=cast.public_id)
    assert nexts(shop, new) == ["trial_pressings"]
    made = scenario_at(shop.studio, shop.now)
    (job,) = made.scenario.jobs
    ready = made.scenario.mould[cast.public_id].ready
    assert ready is not None and job.window.lo == ready >= 7 * 1440  # eight days: common practice, no source
    assert job.station == shop.ids["jolley"]
    shop.now = made.start.astimezone(shop.now.tzinfo)
    live = shop.plan()
    task = live.plan.task[live.plan.jobs[0].task]
    assert task.start >= ready


def test_what_the_record_knows_need_not_be_said(shop: Shop, new: str) -> None:
    say(shop, new, "drawing")
    cast = Cast.objects.get(form__public_id=new).public_id
    shop.do("poured", cast=cast)
    assert nexts(shop, new) == ["trial_mould", "tool"]  # what was poured had a model
    shop.later(hours=1)
    shop.do("lifted", cast=cast)
    shop.later(days=9)
    trial = {"form": new, "ball_g": 620, "spare_g": 25, "filled": True}
    shop.do("trial_pressed", **trial, verdict="again")
    assert nexts(shop, new) == ["trial_pressings"]  # and trials a tool
    good = shop.do("trial_pressed", **trial, verdict="good")
    assert nexts(shop, new) == ["fired_test"]
    shop.do("undo", command=good.undo)
    assert nexts(shop, new) == ["trial_pressings"]
    say(shop, new, "trial_pressings", "fired_test", "approved")
    assert nexts(shop, new) == ["working_moulds"]
    shop.do("mould_add", form=new, count=6)
    shop.later(hours=1)
    assert nexts(shop, new) == ["production"]
    shop.do("pressed", form=new, count=2)
    assert nexts(shop, new) == []


def test_the_minutes_and_the_person_are_the_studio_s_to_say(shop: Shop, new: str) -> None:
    shop.do("step_plan", form=new, version=1, drawing_min=45, model_min=0, person=shop.ids["person"])
    job = scenario_at(shop.studio, shop.now).scenario.jobs[0]
    assert (job.minutes, job.person) == (45, shop.ids["person"])
    say(shop, new, "drawing")
    assert jobs(shop) == {}  # 0 minutes: no job
    assert nexts(shop, new) == ["model"]
    shop.refused(409, "step_plan", form=new, version=1, model_min=30)
    shop.refused(422, "step_plan", form=new, version=2, model_min=5000)
    shop.refused(404, "step_plan", form=new, version=2, person="nosuch")


def test_an_order_for_it_is_told_why_it_waits(shop: Shop, new: str) -> None:
    names = {new: "Bowl 18", shop.ids["form"]: "Bowl"}
    (said,) = without_moulds(shop.studio, names)
    assert said == "Bowl 18 has no mould yet: the plan presses it once the one that is to be poured is lifted and dry."
    cast = Cast.objects.get(form__public_id=new)
    shop.do("cast_retire", cast=cast.public_id, version=1)
    (said,) = without_moulds(shop.studio, names)
    assert said == "Bowl 18 has no mould: an order for it waits until one is there. Plan to pour some."


def test_a_studio_that_cannot_pour_still_has_a_plan(shop: Shop, new: str) -> None:
    """A required pour that nobody may do would leave all orders without a plan."""
    shop.do("person_save", person=shop.ids["person"], version=2, name="Odd", skills=["press", "release", "turn", "job"])
    say(shop, new, "drawing", "model")
    (cast,) = scenario_at(shop.studio, shop.now).scenario.casts
    assert not cast.required
    shop.plan()


@pytest.mark.parametrize(
    ("kind", "said", "status"),
    [
        ("form_step", {"step": "fame"}, 422),
        ("form_step", {"form": "nosuch", "step": "model"}, 404),
        ("form_begin", {"name": "", "shape": "bowl", "fired_mm": 150}, 422),
        ("form_begin", {"name": "Urn", "shape": "urn", "fired_mm": 150}, 422),
        ("form_begin", {"name": "Urn", "shape": "bowl", "fired_mm": 5}, 422),
    ],
)
def test_what_cannot_be_is_refused(shop: Shop, new: str, kind: str, said: dict[str, Any], status: int) -> None:
    shop.refused(status, kind, **{"form": new, **said} if kind == "form_step" else said)


def test_a_form_that_came_in_production_has_no_steps(shop: Shop) -> None:
    shop.refused(422, "form_step", form=shop.ids["form"], step="model")
    assert life_of(shop.studio, Form.objects.get(public_id=shop.ids["form"])) is None


def test_a_maker_says_what_is_done_and_does_not_begin_forms(shop: Shop, new: str) -> None:
    maker = shop.maker()
    shop.do("form_step", form=new, step="drawing", by=maker)
    shop.refused(403, "form_begin", name="Cup", shape="beaker", fired_mm=80, by=maker)
    shop.refused(403, "step_plan", form=new, version=1, model_min=60, by=maker)


def test_another_studio_s_form_is_not_found(shop: Shop, new: str) -> None:
    Shop(name="Next Door", now=shop.now).furnish().refused(404, "form_step", form=new, step="drawing")


def test_said_twice_it_counts_once_and_undo_takes_it_back(shop: Shop, new: str) -> None:
    first = shop.do("form_step", form=new, step="drawing")
    shop.later(minutes=5)
    assert "recorded this already" in shop.do("form_step", form=new, step="drawing").message
    shop.do("undo", command=first.undo)
    assert nexts(shop, new) == ["model"]  # the second word still stands
