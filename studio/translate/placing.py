"""The firings of a plan with a place for every piece, or what of a load is to blame that there is none."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from planner.craft.ranges import OutOfRange
from planner.plan import Firing, Plan
from planner.scenario import Scenario
from studio.models import FormTimings, Kiln, PlanLoad, Stage, Studio
from studio.queries.laid_kept import Kept, from_json, holds, laid_out, said_to_fit, things_of, trusted_in
from studio.translate.rows import latest_timings


@dataclass(frozen=True)
class Refusal:
    """A load that finds no place. ``counts``: the part to note as too much; ``left``: what was left over."""

    firing: str
    kiln: str
    stage: str
    counts: Mapping[str, int]
    left: Mapping[str, int]


@dataclass(frozen=True)
class Placing:
    """``loads`` by firing, of all whose sizes are known; ``refused`` those to be planned smaller."""

    loads: Mapping[str, Kept] = field(default_factory=dict)
    refused: tuple[Refusal, ...] = ()


NOWHERE = Placing()


def load_counts(firing: Firing, plan: Plan, scenario: Scenario) -> dict[str, int]:
    """Pieces by form of a planned firing."""
    found: Counter[str] = Counter()
    for part in firing.pieces:
        found[_form_of(part.source, plan, scenario)] += part.count
    return dict(found)


def _form_of(source: str, plan: Plan, scenario: Scenario) -> str:
    if source in plan.batch:
        return plan.batch[source].form
    if source in plan.lot:
        return scenario.order[plan.lot[source].order].form
    return scenario.ware[source].form


@dataclass
class Placer:
    """Places the loads of a studio's plans, one plan after another; what it has placed once it knows."""

    studio: Studio

    @cached_property
    def timings(self) -> list[FormTimings]:
        return list(latest_timings(self.studio).values())

    @cached_property
    def known(self) -> list[Kept]:
        """The loads of the plan in use, and what was placed since."""
        rows = PlanLoad.objects.filter(studio=self.studio, plan__is_current=True)
        return [from_json(said) for said in rows.values_list("laid", flat=True)]

    def place(self, plan: Plan, scenario: Scenario, beat: Callable[[], object] = lambda: None) -> Placing:
        """All firings of ``plan`` that are still to be packed, the largest first; ``beat`` is called before each."""
        kilns = {k.public_id: k for k in Kiln.objects.filter(studio=self.studio)}
        loads: dict[str, Kept] = {}
        refused: list[Refusal] = []
        for firing in sorted(plan.firings, key=lambda f: -sum(p.count for p in f.pieces)):
            if firing.load is None or firing.kiln not in kilns:
                continue
            beat()
            program = scenario.kiln[firing.kiln].program(firing.program or "")
            stage = program.stage if program is not None else Stage.BISQUE.value
            kept = self._laid(load_counts(firing, plan, scenario), kilns[firing.kiln], stage)
            if kept is None:
                continue
            loads[firing.id] = kept
            if not kept.laid.load.fits:
                refused.append(self._refusal(firing, kilns[firing.kiln], kept))
        return Placing(loads, tuple(r for r in refused if not said_to_fit(kilns[r.kiln], r.stage, r.counts)))

    def _laid(self, counts: Mapping[str, int], kiln: Kiln, stage: str) -> Kept | None:
        """None where sizes or counts are missing or make no shelf."""
        things = things_of(counts, self.timings, kiln, stage, trusted_in(kiln, stage))
        if not things:
            return None
        try:
            kept = laid_out(kiln, things, stage, self.known)
        except OutOfRange:
            return None
        self.known.append(kept)
        return kept

    def _refusal(self, firing: Firing, kiln: Kiln, kept: Kept) -> Refusal:
        """The least part that finds no place, unless a load that holds it does find one: then the whole load."""
        counts: Mapping[str, int] = kept.laid.too_much or kept.counts
        self._laid(counts, kiln, kept.stage)
        placed = (k for k in self.known if k.kiln == kept.kiln and k.stage == kept.stage and k.laid.load.fits)
        if any(holds(k.counts, counts) for k in placed):
            counts = kept.counts
        return Refusal(firing.id, kept.kiln, kept.stage, dict(counts), dict(kept.laid.load.left))

    def still_too_much(self, kiln: Kiln, stage: str, counts: Mapping[str, int]) -> bool:
        """Whether ``counts``, noted earlier as too much, still find no place by the sizes of now."""
        kept = self._laid(counts, kiln, stage)
        return kept is not None and len(kept.things) == len(counts) and not kept.laid.load.fits
