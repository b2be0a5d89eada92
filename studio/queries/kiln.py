"""The kilns: what is in them, what goes in next and shelf by shelf, what came out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cached_property
from typing import Any

from django.db.models import Q

from planner.plan import Firing
from studio import units
from studio.faults import name_of
from studio.models import Fact, FormTimings, Glaze, Kiln, KilnProgram, PlanLoad, Program, Stage, Studio
from studio.queries.cards import Names, local, names_of
from studio.queries.deck import Deck
from studio.queries.kiln_drawn import drawn
from studio.queries.kiln_firing import told_of
from studio.queries.kiln_views import (
    DRAWN,
    LIT,
    PACKED,
    PLANNED,
    Inside,
    Kilns,
    KilnView,
    Load,
    LoadView,
    Packing,
    Part,
    Ready,
    ShelfPart,
    ShelfView,
)
from studio.queries.laid_kept import Kept, from_json
from studio.queries.plans import Live, current_plan
from studio.queries.record import read_facts
from studio.queries.shelves import Stack, Stand, stack
from studio.queries.state import state_of
from studio.record.form import ABOUT_FACTS
from studio.record.settle import settle
from studio.record.state import GLAZED, KILN, LEATHER, FiringState, State, Ware
from studio.translate.firings import known_of, opens_at
from studio.translate.rows import latest_timings

MOST_PAST = 12
NEAR_OFF = timedelta(hours=4)  # of the reckoned end: so long it is asked whether it went off just now


@dataclass
class _Desk:
    """What is read once for a page."""

    studio: Studio
    now: datetime
    names: Names = field(init=False)
    state: State = field(init=False)
    live: Live | None = field(init=False)

    def __post_init__(self) -> None:
        self.names, self.state, self.live = names_of(self.studio), state_of(self.studio), current_plan(self.studio)

    @cached_property
    def rows(self) -> dict[str, Kiln]:
        return {k.public_id: k for k in Kiln.objects.filter(studio=self.studio).order_by("name")}

    @cached_property
    def programs(self) -> dict[str, Program]:
        return {p.public_id: p for p in Program.objects.filter(studio=self.studio)}

    @cached_property
    def timings(self) -> dict[tuple[str, str], KilnProgram]:
        found = KilnProgram.objects.filter(studio=self.studio).select_related("kiln", "program")
        return {(t.kiln.public_id, t.program.public_id): t for t in found}

    def kiln_name(self, kiln: str) -> str:
        return self.rows[kiln].name if kiln in self.rows else kiln

    def program_name(self, program: str) -> str:
        return self.programs[program].name if program in self.programs else program

    def fires(self, kiln: str) -> tuple[tuple[str, str], ...]:
        """The programs that a kiln fires, with their names."""
        rows = [t.program for (of, _program), t in self.timings.items() if of == kiln]
        return tuple((p.public_id, p.name) for p in rows if p.retired_at is None)

    def parts(self, counts: Iterable[tuple[str, int]]) -> tuple[Part, ...]:
        held: dict[str, int] = {}
        for form, n in counts:
            held[form] = held.get(form, 0) + n
        rows = sorted(held.items(), key=lambda x: -x[1])
        return tuple(Part(f, self.names.form(f), self.names.pot(f), n) for f, n in rows)

    # Loads on record

    def recorded(self, firing: FiringState) -> Load:
        wares = [w for w in self.state.ware.values() if w.stage == KILN and w.firing == firing.id]
        row = self.timings.get((firing.kiln, firing.program))
        told = opens_at(firing, known_of(row, self.state.firings.values())) if row is not None else None
        lit = local(firing.lit) if firing.lit is not None else None
        how = DRAWN if firing.drawn is not None else LIT if lit else PACKED
        return Load(
            id=firing.id, kiln=firing.kiln, kiln_name=self.kiln_name(firing.kiln), how=how,
            program=self.program_name(firing.program), stage=firing.stage,
            parts=self.parts(self._packed(firing)), pack=local(firing.packed[1]),
            starts=lit or self._light_from(firing.id), tops=local(told[0]) if told else None,
            opens=local(told[1]) if told else None,
            drawn=local(firing.drawn) if firing.drawn is not None else None,
            task=self._drawing(firing) if how in (PACKED, LIT) else "",
            inside=tuple(Inside(w.id, self.names.form(w.form), w.count) for w in wares), **self._losses(firing),
            program_id=firing.program if row is not None else "",
            may_go_off=bool(told) and firing.off is None and abs(local(told[0]) - self.now) <= NEAR_OFF,
            open_at=units.temperature(row.kiln.open_tenths_c / 10) if row is not None else "",
            told=told_of(firing),
        )  # fmt: skip

    def _losses(self, firing: FiringState) -> dict[str, Any]:
        """How many of a load were lost when it was drawn, and what was seen."""
        lost = self.lost_drawn.get(self.state.seen.get(f"drawn/{firing.id}", ""), [])
        why = dict.fromkeys(str(name_of(x["why"])) for x in lost if x["why"])
        return {"lost": sum(x["count"] for x in lost), "why": ", ".join(why)}

    @cached_property
    def lost_drawn(self) -> dict[str, list[dict[str, Any]]]:
        """By the fact of a drawing, its losses, as they were corrected since."""
        last = sorted((f for f in self.state.firings.values() if f.drawn is not None), key=lambda f: f.drawn or 0)
        ids = [self.state.seen.get(f"drawn/{f.id}", "") for f in last[-3 * MOST_PAST :]]
        rows = Fact.objects.filter(Q(public_id__in=ids) | Q(kind__in=ABOUT_FACTS), studio=self.studio)
        return {x.fact.id: x.fact.data["lost"] for x in settle(read_facts(rows)) if x.fact.kind == "drawn"}

    def _packed(self, firing: FiringState) -> list[tuple[str, int]]:
        """What was packed, by form."""
        return [(self.forms_packed[w], n) for w, n in firing.pieces.items() if w in self.forms_packed]

    @cached_property
    def forms_packed(self) -> dict[str, str]:
        """By ware in a load, its form: as the state has it, else as it was recorded, since ware is used up."""
        there = {w.id: w.form for w in self.state.ware.values()}
        last = sorted(self.state.firings.values(), key=lambda f: f.packed)[-3 * MOST_PAST :]
        roots = {w: w.rsplit(".", 1)[-1] for f in last for w in f.pieces if w not in there}
        made = made_of(self.studio, set(roots.values()))
        return there | {w: made[root] for w, root in roots.items() if root in made}

    def _light_from(self, firing: str) -> datetime | None:
        planned = self.live.plan.firing.get(firing) if self.live else None
        return self.live.when(planned.fire) if self.live and planned and planned.fire is not None else None

    def _drawing(self, firing: FiringState) -> str:
        """The planned task that draws a load."""
        if self.live is None:
            return ""
        ids = (firing.id, f"now:{firing.kiln}")
        tasks = [f.unload for f in self.live.plan.firings if f.id in ids]
        return next((t for t in tasks if t not in self.state.done_tasks), "")

    # Loads of the plan

    def coming(self) -> list[Load]:
        """Planned firings that are not packed yet, the first ones first."""
        if self.live is None:
            return []
        deck = Deck(self.live, self.state, self.names)
        open_ = [f for f in self.live.plan.firings if f.load and f.id not in self.state.firings]
        loads = [self._planned(f, self.live, deck) for f in open_ if f.load not in self.state.done_tasks]
        return sorted(loads, key=lambda x: x.pack or self.now)

    def _planned(self, firing: Firing, live: Live, deck: Deck) -> Load:
        program = live.scenario.kiln[firing.kiln].program(firing.program or "")
        starts = live.when(firing.fire or 0)
        tops = starts + timedelta(minutes=program.fire if program else 0)
        return Load(
            id=firing.id, kiln=firing.kiln, kiln_name=self.kiln_name(firing.kiln), how=PLANNED,
            program=self.program_name(firing.program or ""), stage=program.stage if program else "bisque",
            parts=self.parts(deck.load_of(firing)), pack=live.when(live.plan.task[firing.load or ""].start),
            starts=starts, tops=tops, opens=tops + timedelta(minutes=program.cool if program else 0),
            drawn=live.when(live.plan.task[firing.unload].start), task=firing.load or "",
        )  # fmt: skip


def made_of(studio: Studio, ids: set[str]) -> dict[str, str]:
    """By batch, lot or remainder on record, its form."""
    facts = Fact.objects.filter(studio=studio)
    found: dict[str, str] = {}
    parents: dict[str, set[str]] = {}
    for _round in range(4):  # a remainder of a remainder of a remainder is as far as anybody goes
        if not ids:
            break
        named = (("pressed", "batch"), ("opening", "id"), ("glazed", "lot"))
        for kind, key in named:
            for data in facts.filter(kind=kind, **{f"data__{key}__in": list(ids)}).values_list("data", flat=True):
                for child in parents.get(data[key], set()) | {data[key]}:
                    found[child] = data["form"]
        left = facts.filter(kind__in=("taken_out", "step_done"), data__remainder__in=list(ids - found.keys()))
        above: set[str] = set()
        for data in left.values_list("data", flat=True):
            kin = parents.pop(data["remainder"], set()) | {data["remainder"]}
            parents.setdefault(data["batch"], set()).update(kin)
            above.add(data["batch"])
        ids = above
    return found


def kilns_of(studio: Studio, *, now: datetime) -> Kilns:
    """All kilns in use, and the last loads that were drawn."""
    desk = _Desk(studio, now)
    coming = desk.coming()
    views = []
    for row in desk.rows.values():
        stands = desk.state.kilns.get(row.public_id)
        holds = desk.state.firings.get(stands.holds) if stands is not None and stands.holds else None
        if row.retired_at is not None and holds is None:
            continue
        until = local(stands.out_until) if stands is not None and stands.out_until is not None else None
        out = stands is not None and stands.out_since is not None and (until is None or until > now)
        views.append(KilnView(row, out, until, desk.recorded(holds) if holds else None,
                              tuple(x for x in coming if x.kiln == row.public_id),
                              desk.fires(row.public_id)))  # fmt: skip
    past = sorted((f for f in desk.state.firings.values() if f.drawn is not None), key=lambda f: -(f.drawn or 0))
    return Kilns(tuple(views), tuple(desk.recorded(f) for f in past[:MOST_PAST]), desk.live is not None)


def load_view(studio: Studio, firing: str, *, now: datetime, by: str = "") -> LoadView | None:
    """One load shelf by shelf; None if there is none of that id on record or in the plan in use.

    ``by`` "width" or "count": drawn by the width of the ware, or by the studio's count on a shelf.
    """
    desk = _Desk(studio, now)
    known = desk.state.firings.get(firing)
    load = desk.recorded(known) if known else next((x for x in desk.coming() if x.id == firing), None)
    if load is None or load.kiln not in desk.rows:
        return None
    kiln = desk.rows[load.kiln]
    timings = latest_timings(studio).values()
    laid = _stack(timings, load, kiln)
    pots = {p.form: p for p in load.parts}
    shelves = tuple(
        ShelfView(s.number, s.prop_mm, tuple(ShelfPart(pots[f].name, pots[f].pot, n) for f, n in s.parts))
        for s in laid.shelves
    )
    strangers = tuple(pots[f].name for f in laid.strangers)
    counts, names = {f: p.count for f, p in pots.items()}, {f: (p.name, p.pot) for f, p in pots.items()}
    kept = None if load.how == DRAWN else kept_load(studio, firing)
    picture = None if load.how == DRAWN else drawn(counts, timings, kiln, load.stage, names, by, kept)
    return LoadView(load, kiln, shelves, laid.height_mm, strangers, picture)


def kept_load(studio: Studio, firing: str) -> Kept | None:
    """How a firing was laid out in the last plan in use that had it."""
    rows = PlanLoad.objects.filter(studio=studio, firing=firing, plan__accepted_at__isnull=False)
    said = rows.order_by("-plan__accepted_at").values_list("laid", flat=True).first()
    return None if said is None else from_json(said)


def _stack(timings: Iterable[FormTimings], load: Load, kiln: Kiln) -> Stack:
    stands = {}
    for t in timings:
        said = t.bisque if load.stage == Stage.BISQUE else t.glost
        if said["per_shelf"].get(kiln.public_id):
            stands[t.form.public_id] = Stand(said["clearance_mm"], said["per_shelf"][kiln.public_id])
    return stack({p.form: p.count for p in load.parts}, stands, kiln.shelf_mm)


def packing_of(studio: Studio, kiln: str, stage: str, *, now: datetime) -> Packing | None:
    """What could be packed into a kiln now, outside the plan; None if there is no such kiln."""
    desk = _Desk(studio, now)
    row = desk.rows.get(kiln)
    if row is None or row.retired_at is not None:
        return None
    wanted = LEATHER if stage == Stage.BISQUE else GLAZED
    wares = sorted((w for w in desk.state.ware.values() if w.stage == wanted and w.count > 0),
                   key=lambda w: (w.last_end or w.at or 0, w.id))  # fmt: skip
    programs = [(p.public_id, p.name) for p in desk.programs.values()
                if p.stage == stage and p.retired_at is None and (kiln, p.public_id) in desk.timings]  # fmt: skip
    glazes = dict(Glaze.objects.filter(studio=studio).values_list("public_id", "name"))
    return Packing(row, stage, tuple(programs), tuple(_ready(w, desk, glazes) for w in wares))


def _ready(ware: Ware, desk: _Desk, glazes: dict[str, str]) -> Ready:
    names = desk.names
    return Ready(ware.id, names.form(ware.form), names.pot(ware.form), ware.count, glazes.get(ware.glaze or "", ""))
