"""Windows by air and by what people say: an ordinary week's figures come back exactly, and a true factor is found."""

from __future__ import annotations

import datetime as dt
import random

import pytest

from planner.scenario import Form
from studio.defaults import KINDS, form_defaults
from studio.models import Form as FormRow
from studio.models import FormTimings
from studio.record.state import Remark
from studio.translate import scenario_at
from studio.translate.waits import LONGEST, SHORTEST, Learned, craft_of, learned_of, waits_in
from tests.services.shop import Shop


def now(shop: Shop) -> Form:
    shop.studio.refresh_from_db()
    return scenario_at(shop.studio, shop.now).scenario.form[shop.ids["form"]]


def waits(form: Form) -> tuple[object, ...]:
    return form.release_after, form.release_after_covered, form.dry, *((s.after, s.after_covered) for s in form.steps)


def test_an_ordinary_week_gives_the_forms_own_figures_exactly(shop: Shop) -> None:
    t = FormTimings.objects.get(form__public_id=shop.ids["form"])
    own = [tuple(t.release_after), tuple(t.release_after_covered), t.dry_min]
    own += [(tuple(s["after"]), tuple(s["after_covered"])) for s in t.steps]
    assert list(waits(now(shop))) == own


def test_a_damp_week_makes_everything_later_and_a_dry_one_sooner(shop: Shop) -> None:
    usual = now(shop)
    shop.do("week_set", week="damp")
    damp = now(shop)
    shop.do("week_set", week="dry")
    dry = now(shop)
    for a, b in ((dry, usual), (usual, damp)):
        assert a.release_after.lo <= b.release_after.lo
        assert a.release_after.hi < b.release_after.hi
        assert a.release_after_covered.hi < b.release_after_covered.hi  # type: ignore[union-attr]
        assert a.steps[0].after.hi < b.steps[0].after.hi
        assert a.dry < b.dry
    # Half of an ordinary week's deficit, and 0.35 of the water goes into the plaster in any air, so that the time in an
    # open mould is 1 / (0.35 + 0.65 / 2) times as long (worked out by hand; steps of 10 min).
    t = FormTimings.objects.get(form__public_id=shop.ids["form"])
    assert t.dry_damp_min == 2 * t.dry_min
    assert damp.release_after.lo == pytest.approx(usual.release_after.lo / 0.675, abs=10)
    assert damp.steps[0].after.hi == pytest.approx(usual.steps[0].after.hi * 2, abs=10)


@pytest.mark.parametrize("kind", sorted(KINDS))
@pytest.mark.parametrize("slow", [50, 66, 100, 130, 200, 400])
@pytest.mark.parametrize("words", [(), ("too_soft",) * 30, ("clean",) * 30, ("stuck", "clean", "bone_dry", "too_dry")])
def test_windows_stay_open_and_in_order_whatever_the_air_and_the_words(
    kind: str, slow: int, words: tuple[str, ...]
) -> None:
    k = KINDS[kind]
    draft = form_defaults(kind, k.fired_mm, k.foot, k.handle, k.ball_g)
    row, t = FormRow(kind=kind), _timings(draft.timings)
    assert craft_of(row, t) is not None
    minutes = 3000 if words[:1] == ("too_soft",) else 30
    found = learned_of(row, t, [Remark(w, minutes, False, slow) for w in words])
    assert SHORTEST <= found.scale <= LONGEST
    made = waits_in(row, t, slow, found, t.dry_min * slow // 100)
    windows = [made.open, made.covered, *(w for s in made.steps for w in s)]
    assert all(0 <= w[0] < w[1] for w in windows if w is not None)
    assert made.covered is not None
    assert made.open[0] <= made.covered[0]
    assert made.covered[1] >= min(16 * 60, int(t.release_after_covered[1] * found.scale))
    assert made.dry > 0


def _timings(draft: dict[str, object]) -> FormTimings:
    names = {f.name for f in FormTimings._meta.fields}
    return FormTimings(**{k: v for k, v in draft.items() if k in names})


def test_nothing_said_changes_nothing_and_odd_figures_teach_nothing() -> None:
    k = KINDS["bowl"]
    t = _timings(form_defaults("bowl", k.fired_mm, k.foot, k.handle, k.ball_g).timings)
    assert learned_of(FormRow(kind="bowl"), t, []).scale == Learned().scale == 1.0
    t.release_after = [0, 1]
    assert craft_of(FormRow(kind="bowl"), t) is None
    assert learned_of(FormRow(kind="bowl"), t, [Remark("too_soft", 600, False)]).remarks == 0
    assert waits_in(FormRow(kind="bowl"), t, 200, Learned(), 60).open == (0, 1)


@pytest.mark.parametrize(("truth", "week"), [(0.75, "ordinary"), (1.35, "ordinary"), (1.35, "damp")])
def test_a_studio_recovers_its_true_factor_by_what_it_says_in_passing(shop: Shop, truth: float, week: str) -> None:
    """Pieces firm up at ``truth`` times the usual hours, each 15 % earlier or later; people look at them, say what
    is too soft, look again an hour later and take out what is firm, all through the studio's own commands."""
    rng = random.Random(3)
    shop.do("week_set", week=week)
    shop.studio.refresh_from_db()
    own = now(shop).release_after.lo  # by the form's figures in this air, nothing learned yet
    for _ in range(16):
        batch = shop.do("pressed", form=shop.ids["form"], count=1).data["batch"]
        firm = own * truth * rng.lognormvariate(0, 0.15)
        look = own * rng.uniform(0.4, 1.3)
        shop.later(minutes=look)
        while look < firm:
            shop.do("too_soft", batch=batch, minutes=60)
            shop.later(minutes=60)
            look += 60
        shop.do("taken_out", batch=batch)
        shop.do("said", batches=[batch], word="clean")
        shop.now += dt.timedelta(days=1)
    form = FormRow.objects.get(public_id=shop.ids["form"])
    found = learned_of(form, form.timings.get(), shop.state.remarks[form.public_id])
    low, high = found.belief.interval()
    assert low < truth < high
    assert found.belief.median == pytest.approx(truth, rel=0.12)
    assert found.belief.spread < 0.1  # 15 % among 16 pieces, each held within an hour
    then = now(shop)
    assert then.release_after.lo == pytest.approx(own * found.scale, abs=20)


@pytest.mark.parametrize("truth", [0.75, 1.0, 1.35])
def test_over_many_studios_the_factor_is_right_on_the_whole_and_its_interval_holds_the_truth(truth: float) -> None:
    """The same way of looking and saying, for 40 studios: two standard errors hold the truth some 19 times in 20."""
    k = KINDS["bowl"]
    t = _timings(form_defaults("bowl", k.fired_mm, k.foot, k.handle, k.ball_g).timings)
    beliefs = []
    for seed in range(40):
        rng, remarks = random.Random(seed), []
        for _ in range(16):
            firm, soft = t.release_after[0] * truth * rng.lognormvariate(0, 0.15), None
            look = t.release_after[0] * rng.uniform(0.4, 1.3)
            while look < firm:
                soft, look = int(look), look + 60
            remarks.append(Remark("clean", int(look), False, soft=soft))
        beliefs.append(learned_of(FormRow(kind="bowl"), t, remarks).belief)
    assert sum(b.interval()[0] < truth < b.interval()[1] for b in beliefs) >= 35
    assert sorted(b.median for b in beliefs)[20] == pytest.approx(truth, rel=0.04)
