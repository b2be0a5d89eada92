"""Plans whose loads all find a place: what finds none is noted on its kiln, and planned anew with that known."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from planner.plan import Plan
from studio.models import Kiln, Studio
from studio.services.kiln_notes import drop_notes, note_too_much
from studio.translate import Made
from studio.translate.placing import NOWHERE, Placer, Placing, Refusal

MOST_ROUNDS = 12  # new plans for the sake of places; then the plan is kept and says what finds none
SEARCHED, SHARE = 4, 8  # so many of them are searched, each for this part of the seconds; the others are first plans
NO_PLAN = ("infeasible", "unknown")

Solve = Callable[[Made, float, Plan | None], Plan]


@dataclass(frozen=True)
class Fitted:
    """A plan, the answer to ``made``, with its places; ``noted``: loads that were planned smaller on the way."""

    made: Made
    plan: Plan
    placing: Placing = NOWHERE
    noted: tuple[Refusal, ...] = ()


def fitted(
    studio: Studio, make: Callable[[], Made], solve: Solve, seconds: float, go_on: Callable[[], bool] = lambda: True
) -> Fitted:
    """Plan by ``solve`` (scenario, seconds, a plan to begin from) until each load finds its place.

    ``make`` gives the scenario as the kilns' notes are by then. After ``MOST_ROUNDS`` new plans, or where ``go_on``
    says no, the last plan comes back with those that find none among its ``placing.refused``.
    """
    placer = Placer(studio)
    drop_notes(studio=studio, outdated=_outdated(studio, placer))
    made = make()
    plan, noted = solve(made, seconds, None), list[Refusal]()
    for left in reversed(range(MOST_ROUNDS + 1)):
        if plan.status in NO_PLAN:
            return Fitted(made, plan)
        placing = placer.place(plan, made.scenario, go_on)
        if not placing.refused or not left or not go_on():
            break
        new = note_too_much(studio=studio, refused=placing.refused)
        noted += new
        if not new:
            break
        made = make()
        plan = solve(made, seconds / SHARE if left > MOST_ROUNDS - SEARCHED else 0, plan)
    return Fitted(made, plan, placing, tuple(noted))


def _outdated(studio: Studio, placer: Placer) -> dict[str, list[dict[str, Any]]]:
    """Notes made for the sake of places that find theirs by now, since a size or a count was changed."""
    found: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for kiln in Kiln.objects.filter(studio=studio):
        for note in kiln.limits:
            if note.get("placed") and not placer.still_too_much(kiln, note["stage"], note["counts"]):
                found[kiln.public_id].append(note)
    return dict(found)
