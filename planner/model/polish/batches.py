"""Batches in a sub-model: pressed by the plan or under way, moved, resized, dropped, given up (R03, R04, R13)."""

from __future__ import annotations

from dataclasses import dataclass

from planner.model.core_kept import Kept, keep_in_mould, keep_released
from planner.model.polish.context import At, Literal, Number, Sub
from planner.plan import Batch
from planner.scenario import Form, InMould, Released, Window, Work


@dataclass
class BatchVar:
    """A batch: its tasks, pieces and boards. ``kept``: it is there and gives green ware.

    ``first`` is the minute of the first piece, ``before`` the minutes of setting up (both for batches of the plan).
    """

    id: str
    form: Form
    count: Number
    most: int
    kept: Literal
    press_id: str | None
    release_id: str | None
    step_ids: tuple[str, ...]
    press: At | None
    release: At | None
    steps: list[At]
    begin: Number
    leather_end: Number
    covered: Literal
    covered_in_mould: Literal
    moulds: tuple[str, ...]
    free: bool
    wip: bool
    before: Number = 0

    @property
    def ready(self) -> Number:
        """Minute it may be loaded for bisque."""
        return self.leather_end + self.form.dry


def add_batches(sub: Sub) -> dict[str, BatchVar]:
    """All batches of the plan, fixed or free, and the slots for new ones."""
    out: dict[str, BatchVar] = {}
    for batch in sub.plan.batches:
        if batch.id not in sub.freed.batches:
            out[batch.id] = _fixed(sub, batch)
        elif batch.press is None:
            out[batch.id] = _under_way(sub, batch)
        else:
            out[batch.id] = _pressed(sub, batch, sub.s.form[batch.form])
    for form in sub.freed.new_batches:
        name = sub.fresh("b")
        out[name] = _pressed(sub, None, sub.s.form[form], name)
    return out


def _fixed(sub: Sub, batch: Batch) -> BatchVar:
    spoiled = batch.id in sub.plan.spoiled
    wip = sub.s.ware.get(batch.id)
    press = None if batch.press is None else sub.fixed(batch.press)
    release = None if batch.release is None else sub.fixed(batch.release)
    steps = [sub.fixed(t) for t in batch.steps]
    begin = release.start if release else min(0, wip.released.a) if isinstance(wip, Released) else 0
    taken_out = release.end if release else wip.released.b if isinstance(wip, Released) else 0
    form = sub.s.form[batch.form]
    before = 0 if press is None else press.end - press.start - form.press.minutes(batch.count)
    if spoiled:
        sub.costs.append(sub.s.weights.spoil * batch.count)
    sub.costs.append(_cover_cost(sub, batch, sub.yes if batch.covered else sub.no))
    return BatchVar(
        batch.id, form, batch.count, batch.count, sub.no if spoiled else sub.yes,
        batch.press, batch.release, batch.steps, press, release, steps, begin,
        steps[-1].end if steps else taken_out,
        sub.yes if batch.covered else sub.no, sub.yes if batch.covered_in_mould else sub.no,
        batch.moulds, False, wip is not None, before,
    )  # fmt: skip


def _cover_cost(sub: Sub, batch: Batch, covered: Literal) -> Number:
    """Fixed batches: covered in the mould if the plan presses it, covered after if the plan takes it out."""
    in_mould = batch.press is not None and batch.covered_in_mould
    after = batch.release is not None and covered is sub.yes
    return sub.s.weights.cover * (in_mould + after)


def _under_way(sub: Sub, batch: Batch) -> BatchVar:
    """A batch in a mould or released at minute 0: kept or given up."""
    wip = sub.s.ware[batch.id]
    if isinstance(wip, InMould):
        kept = keep_in_mould(sub.m, sub.floor, wip, False)
        sub.costs.append(sub.s.weights.cover * kept.covered)
        sub.m.add_implication(kept.covered, kept.kept)
    else:
        assert isinstance(wip, Released)
        kept = keep_released(sub.m, sub.floor, wip)
        kept.covered = kept.kept if wip.covered else sub.no  # under its cover for as long as it is kept
    sub.costs.append(sub.s.weights.spoil * batch.count * (1 - kept.kept))
    sub.hint(kept.kept, batch.id not in sub.plan.spoiled)
    if isinstance(wip, InMould):
        sub.hint(kept.covered, batch.covered)
    release, release_id = None, None
    if kept.release is not None:
        release_id = batch.release or sub.fresh("t")
        release = sub.adopt(release_id, kept.release)
    ids = batch.steps if len(batch.steps) == len(kept.steps) else tuple(sub.fresh("t") for _ in kept.steps)
    steps = [sub.adopt(i, t) for i, t in zip(ids, kept.steps, strict=True)]
    return _from_kept(sub, batch, kept, release_id, ids, release, steps)


def _from_kept(
    sub: Sub, batch: Batch, kept: Kept, release_id: str | None, ids: tuple[str, ...], release: At | None,
    steps: list[At],
) -> BatchVar:  # fmt: skip
    covered_in_mould = sub.yes if batch.covered_in_mould else sub.no
    return BatchVar(
        batch.id, sub.s.form[batch.form], batch.count, batch.count, kept.kept,
        None, release_id, ids, None, release, steps, kept.begin, kept.leather_end,
        kept.covered, covered_in_mould, batch.moulds, True, True,
    )  # fmt: skip


def _pressed(sub: Sub, batch: Batch | None, form: Form, name: str = "") -> BatchVar:
    """A batch that the plan presses; ``batch`` is None for a new one."""
    name = batch.id if batch else name
    now = batch.count if batch else 0
    most = max(now, _moulds_at_most(sub, form)) if sub.freed.contents else now
    optional = batch is None or sub.freed.contents
    here: Literal = sub.flag(f"{name}.here", batch is not None) if optional else sub.yes
    count: Number = now
    if optional:
        count = sub.whole(0, most, f"{name}.count", now)
        sub.m.add(count >= 1).only_enforce_if(here)
        sub.m.add(count == 0).only_enforce_if(~here)
    in_mould = _cover_choice(sub, f"{name}.wrapped", [form.release_after_covered], batch and batch.covered_in_mould)
    covered = _cover_choice(sub, f"{name}.covered", [s.after_covered for s in form.steps], batch and batch.covered)
    for lit in (in_mould, covered):
        if lit is not sub.no and here is not sub.yes:
            sub.m.add_implication(lit, here)
        sub.costs.append(sub.s.weights.cover * lit)
    ids = batch.steps if batch else tuple(sub.fresh("t") for _ in form.steps)
    press_id = batch.press if batch and batch.press else sub.fresh("t")
    release_id = batch.release if batch and batch.release else sub.fresh("t")
    before = sub.m.new_int_var(0, max(form.setup, form.recheck), f"{name}.before")
    work = sub.minutes(form.press, count, most)
    size = sub.sized(before + work, form.setup + form.recheck + form.press.minutes(most))
    press = sub.free(press_id, "press", size, form.press.minutes(1), present=here)
    release_size = _size(sub, form.release, count, most)
    release = sub.free(release_id, "release", release_size, form.release.minutes(1), present=here)
    first = press.start + before + -(-form.press.each_s // 60)
    _wait(sub, here, in_mould, release, press.end, first, form.release_after, form.release_after_covered)
    steps: list[At] = []
    for step, task_id in zip(form.steps, ids, strict=True):
        at = sub.free(task_id, step.kind, _size(sub, step.work, count, most), step.work.minutes(1), present=here)
        if steps:
            sub.m.add(at.start >= steps[-1].end).only_enforce_if(here)
        steps.append(at)
        _wait(sub, here, covered, at, release.end, release.start, step.after, step.after_covered)
    return BatchVar(
        name, form, count, most, here, press_id, release_id, ids, press, release, steps,
        release.start, steps[-1].end if steps else release.end, covered, in_mould,
        batch.moulds if batch else (), True, False, before,
    )  # fmt: skip


def _size(sub: Sub, work: Work, count: Number, most: int) -> Number:
    return sub.sized(sub.minutes(work, count, most), work.minutes(most))


def _cover_choice(sub: Sub, name: str, windows: list[Window | None], now: bool | None) -> Literal:
    """A literal where every one of ``windows`` allows a cover (and there is one)."""
    if not windows or any(w is None for w in windows):
        return sub.no
    return sub.flag(name, bool(now))


def _wait(
    sub: Sub, here: Literal, covered: Literal, task: At, after: Number, since: Number, open_: Window,
    wrapped: Window | None,
) -> None:  # fmt: skip
    """``task`` starts ``lo`` or more after ``after`` and ends ``hi`` or less after ``since``."""
    m = sub.m
    when = [here] if covered is sub.no else [here, ~covered]
    m.add(task.start >= after + open_.lo).only_enforce_if(when)
    m.add(task.end <= since + open_.hi).only_enforce_if(when)
    if wrapped is not None and covered is not sub.no:
        m.add(task.start >= after + wrapped.lo).only_enforce_if(here, covered)
        m.add(task.end <= since + wrapped.hi).only_enforce_if(here, covered)


def _moulds_at_most(sub: Sub, form: Form) -> int:
    """The most moulds of ``form`` that a batch could fill."""
    poured = {c.id for c in sub.plan.casts}
    own = sum(m.form == form.id and m.uses_left > 0 for m in sub.s.moulds)
    return own + sum(c.form == form.id and c.id in poured for c in sub.s.casts)
