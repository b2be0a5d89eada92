"""Two ways to do the weeks, told in the same terms, so that a person can choose between them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from planner.costs import reckon
from studio import models, words
from studio.models import Studio
from studio.queries.plans import Live, live
from studio.translate.tuning import CALM, EVENINGS, FAST, FIRINGS, IN_TIME, OWN, TOOLS, weights_of
from studio.words import Text

MATTERS: dict[str, Text] = {
    IN_TIME: gettext_lazy("orders ready on their day"),
    FIRINGS: gettext_lazy("few firings, with full kilns"),
    EVENINGS: gettext_lazy("free evenings"),
    TOOLS: gettext_lazy("few changes of tool"),
}
NAMES: dict[str, Text] = {
    OWN: gettext_lazy("Your way"),
    FAST: gettext_lazy("Orders first"),
    CALM: gettext_lazy("Quiet weeks"),
}
HINTS: dict[str, Text] = {
    FAST: gettext_lazy("orders ready on their day matter more"),
    CALM: gettext_lazy("few firings, free evenings and few changes of tool matter more"),
}


@dataclass(frozen=True)
class Way:
    """One plan of two. ``cells`` stand in the order of :func:`terms`, as ``numbers`` to compare by."""

    row: models.Plan
    name: str
    hint: str
    cells: tuple[str, ...]
    numbers: tuple[int, ...]
    changes: tuple[str, ...]


@dataclass(frozen=True)
class Term:
    """A line of the comparison: what is counted, how much each way has, which way has less (None: neither)."""

    name: str
    cells: tuple[str, ...]
    less: int | None


def two_ways(studio: Studio, rows: Collection[models.Plan], matters: Collection[str]) -> tuple[Way, ...]:
    """The two plans of one run."""
    return tuple(_way(live(row, studio), matters) for row in rows)


def terms(ways: tuple[Way, ...]) -> tuple[Term, ...]:
    """The comparison line by line."""
    names = (
        _("Order lines late"), _("Days late, all together"), _("Firings"), _("Power for the kilns"),
        _("Work in evenings"), _("Changes of tool"), _("Tasks that move"),
    )  # fmt: skip
    found = []
    for i, name in enumerate(names):
        numbers = [w.numbers[i] for w in ways]
        less = None if len(set(numbers)) == 1 else numbers.index(min(numbers))
        found.append(Term(name, tuple(w.cells[i] for w in ways), less))
    return tuple(found)


def _way(of: Live, matters: Collection[str]) -> Way:
    late = [o.late_min for o in of.plan.orders if o.late_min > 0]
    firings = sum(f.load is not None for f in of.plan.firings)
    weights = replace(weights_of(()), kwh=1, setup=1, extra=1, move=1, pin=1)
    n = reckon(replace(of.scenario, weights=weights), of.plan).costs
    moves = n["move"] + n["pin"]
    days = -(-sum(late) // 1440)
    cells = (
        str(len(late)), words.span(sum(late)) if late else "0", str(firings), _("%(n)s kWh") % {"n": n["kwh"]},
        words.span(n["extra"]) if n["extra"] else _("none"), str(n["setup"]), str(moves),
    )  # fmt: skip
    chosen = [str(MATTERS[m]) for m in MATTERS if m in matters]
    own = _("more than usual matter: %(list)s") % {"list": words.joined(chosen)} if chosen else _("all as usual")
    way = of.row.way or OWN
    return Way(
        of.row, str(NAMES.get(way, NAMES[OWN])), str(HINTS[way]) if way in HINTS else own, cells,
        (len(late), days, firings, n["kwh"], n["extra"], n["setup"], moves),
        tuple(str(c.get("text", "")) for c in of.row.changes),
    )  # fmt: skip
