"""A new plan on its way: how far it is, what it would change, or why there is none."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from planner.plan import Reason
from studio.models import Job, Kiln, Person, Pin, Plan, PlanRun, Station, Studio
from studio.queries.broken import broken_days
from studio.queries.cards import Names, names_of
from studio.queries.deck import Deck
from studio.queries.late import LateOrder, late_orders, other_reasons
from studio.queries.plans import current_plan, live
from studio.queries.state import state_of
from studio.queries.sure import Rests, SureLine, helps, rests_of, sure_lines
from studio.queries.ways import MATTERS, Term, Way, terms, two_ways
from studio.reasons import Named, why
from studio.words import Text

FORM, WORKING, READY, FAILED, IMPOSSIBLE = "form", "working", "ready", "failed", "impossible"
NOBODY_CAME = timedelta(seconds=15)  # a worker takes a waiting run within a second or two
GOOD, BAD, PLAIN = "good", "bad", "plain"
SIGNS = {
    "order_better": ("+", GOOD),
    "order_new": ("•", PLAIN),
    "order_stays": ("✓", GOOD),
    "nothing_else": ("✓", GOOD),
    "nothing": ("✓", GOOD),
    "order_late": ("!", BAD),
    "spoiled": ("!", BAD),
    "moved": ("→", PLAIN),
    "within_days": ("→", PLAIN),
    "firing": ("→", PLAIN),
    "more": ("+", PLAIN),
    "fewer": ("−", PLAIN),
    "order_gone": ("−", PLAIN),
    "evening": ("→", PLAIN),
    "load_over": ("!", BAD),
    "load_smaller": ("→", PLAIN),
    "first": ("•", PLAIN),
}


@dataclass(frozen=True)
class ChangeLine:
    text: str
    sign: str
    tone: str


@dataclass(frozen=True)
class PinLine:
    task: str
    title: str
    start: datetime


@dataclass(frozen=True)
class PlanPage:
    """``stage`` says which of its faces the page shows; ``plan`` is the new one that waits for a decision."""

    stage: str
    run: PlanRun | None = None
    seconds: int = 0
    late: int | None = None
    firings: int | None = None
    found: bool = False  # some plan is there already, so that stopping keeps it
    nobody_works: bool = False
    plan: Plan | None = None
    changes: tuple[ChangeLine, ...] = ()
    late_orders: tuple[LateOrder, ...] = ()
    reasons: tuple[str, ...] = ()
    broken: tuple[str, ...] = ()  # days told for new orders that this plan cannot keep
    message: str = ""
    current: Plan | None = None
    before: Plan | None = None
    pins: tuple[PinLine, ...] = ()
    sure: tuple[SureLine, ...] = ()  # the least sure lines of the plan shown, once somebody has looked
    rests: Rests | None = None  # what that rests on
    helps: tuple[str, ...] = ()
    helps_looked: bool = False
    ways: tuple[Way, ...] = ()  # two of them, where two were asked for
    terms: tuple[Term, ...] = ()
    matters: tuple[tuple[str, Text, bool], ...] = ()  # what can matter more: key, words, whether it was chosen

    @property
    def ways_alike(self) -> bool:
        """Both ways are the same in all but the tasks that move."""
        return all(t.less is None for t in self.terms[:-1])


def plan_page(studio: Studio, *, now: datetime, run_id: str = "") -> PlanPage:
    """The page of the run ``run_id``, or of the last one if it still asks for a decision; else the form."""
    runs = PlanRun.objects.filter(studio=studio, kind=PlanRun.Kind.PLAN)
    runs = runs.defer("plan__plan", "plan__scenario", "other__plan", "other__scenario").select_related("plan", "other")
    run = runs.filter(public_id=run_id).first() if run_id else runs.order_by("-pk").first()
    stage = _stage(run, now, asked=bool(run_id))
    if run is None or stage == FORM:
        return _form(studio)
    if stage == WORKING:
        return _working(run, now)
    if stage == READY and run.plan is not None:
        return _ready(studio, run, run.plan)
    return _ended(studio, run, stage)


def _stage(run: PlanRun | None, now: datetime, *, asked: bool) -> str:
    if run is None:
        return FORM
    if run.state in (PlanRun.State.WAITING, PlanRun.State.RUNNING):
        gone = run.state == PlanRun.State.RUNNING and run.lease_until is not None and run.lease_until < now
        return FAILED if gone else WORKING
    plan = run.plan
    if plan is not None:
        return READY if not plan.is_current and plan.accepted_at is None and plan.left_at is None else FORM
    recent = asked or (run.ended_at is not None and now - run.ended_at < timedelta(hours=12))
    if not recent or run.state == PlanRun.State.DONE:
        return FORM
    return IMPOSSIBLE if run.state == PlanRun.State.IMPOSSIBLE else FAILED


def _form(studio: Studio) -> PlanPage:
    used = current_plan(studio)
    more = studio.matters.get("more", ())
    matters = tuple((key, text, key in more) for key, text in MATTERS.items())
    if used is None:
        return PlanPage(FORM, matters=matters)
    names = names_of(studio)
    pins = tuple(Pin.objects.filter(studio=studio).values_list("task", flat=True))
    lines: tuple[PinLine, ...] = ()
    if pins:
        deck = Deck(used, state_of(studio), names)
        known = [deck.card(used.plan.task[t]) for t in pins if t in used.plan.task and t in deck.about]
        lines = tuple(PinLine(c.id, c.title, c.start) for c in sorted(known, key=lambda c: c.start) if not c.done)
    before = Plan.objects.filter(pk=used.row.before_id).defer("plan", "scenario").first()
    return PlanPage(
        FORM, current=used.row, before=before, pins=lines, matters=matters, sure=sure_lines(used, names),
        rests=rests_of(used.row), helps=helps(used, names), helps_looked=bool((used.row.helps or {}).get("done")),
    )  # fmt: skip


def _working(run: PlanRun, now: datetime) -> PlanPage:
    """How far it is; the seconds are those the planner tells, or since it began."""
    said: dict[str, Any] = run.progress or {}
    since = run.started_at or run.asked_at
    waiting = run.state == PlanRun.State.WAITING
    found = said.get("cost") is not None
    return PlanPage(
        WORKING, run=run, seconds=max(0, int((now - since).total_seconds())),
        late=said.get("late_orders") if found else None, firings=said.get("firings") if found else None, found=found,
        nobody_works=waiting and now - run.asked_at > NOBODY_CAME,
    )  # fmt: skip


def _ready(studio: Studio, run: PlanRun, plan: Plan) -> PlanPage:
    new, names = live(plan, studio), names_of(studio)
    lines = [ChangeLine(str(c.get("text", "")), *SIGNS.get(str(c.get("kind")), ("•", PLAIN))) for c in plan.changes]
    current = Plan.objects.filter(studio=studio, is_current=True).defer("plan", "scenario").first()
    if run.other is not None and run.other.left_at is None:
        ways = two_ways(studio, (plan, run.other), studio.matters.get("more", ()))
        return PlanPage(READY, run=run, plan=plan, ways=ways, terms=terms(ways), current=current)
    late = late_orders(new, names)
    return PlanPage(
        READY, run=run, plan=plan, changes=tuple(lines), late_orders=late, broken=broken_days(studio, new, names, late),
        reasons=other_reasons(new, names), current=current, sure=sure_lines(new, names, in_use=False),
        rests=rests_of(new.row),
    )  # fmt: skip


def _ended(studio: Studio, run: PlanRun, stage: str) -> PlanPage:
    message = run.message
    if run.state == PlanRun.State.RUNNING:
        message = _("The work on this plan stopped half-way. Start it again.")
    reasons: tuple[str, ...] = ()
    if stage == IMPOSSIBLE:
        start = (run.started_at or run.asked_at).replace(second=0, microsecond=0)
        named = naming_of(studio, names_of(studio))
        told = [Reason(**r) for r in run.reasons]
        reasons = tuple(why(r, when=_clock(start), named=named) for r in told)
    current = Plan.objects.filter(studio=studio, is_current=True).defer("plan", "scenario").first()
    return PlanPage(stage, run=run, reasons=reasons, message=message, current=current)


def _clock(start: datetime) -> Any:
    return lambda minute: timezone.localtime(start + timedelta(minutes=minute))


def naming_of(studio: Studio, names: Names) -> Named:
    """How the studio calls its things, by role and public id; a job of one day goes by the job's name."""
    models = {"kiln": Kiln, "person": Person, "job": Job, "station": Station}
    tables = {
        role: dict(model.objects.filter(studio=studio).values_list("public_id", "name"))
        for role, model in models.items()
    }

    def named(role: str, thing: str) -> str:
        if role == "form":
            return names.form(thing)
        known = tables.get(role, {})
        return known.get(thing) or known.get(thing.rsplit("-", 3)[0]) or thing

    return named
