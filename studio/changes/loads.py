"""Loads that found no place: planned smaller for it, or kept with a word of what to do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio import words
from studio.changes.said import Both, Change
from studio.queries.plans import Live
from studio.queries.sides import Side

if TYPE_CHECKING:
    from studio.translate.placing import Refusal


def with_loads(
    said: Sequence[Change], after: Live, over: Iterable[Refusal], noted: Iterable[Refusal], names: Mapping[str, str]
) -> list[Change]:
    """``said`` with what finds no place first, and what was planned smaller behind what else changes.

    ``names``: the firings' own names by those that ``over`` gives.
    """
    first = [_over(after, r, names[r.firing]) for r in over]
    by_kiln: dict[tuple[str, str], list[Refusal]] = {}
    for refusal in noted:
        by_kiln.setdefault((refusal.kiln, refusal.stage), []).append(refusal)
    smaller = [_smaller(after, refusals) for refusals in by_kiln.values()]
    last = [c for c in said if c.kind == "nothing_else"]
    rest = [c for c in said if c.kind != "nothing_else"]
    return [*first, *rest, *smaller, *last]


def _over(after: Live, refusal: Refusal, firing: str) -> Change:
    side = Side(after, frozenset(), after.start)
    lit = after.plan.firing[firing].fire or 0
    text = _("%(kiln)s, %(firing)s %(day)s: not all of it finds a place. Left over: %(left)s. Leave these for another "
             "firing when you pack, or say on the page of the load that it goes in.")  # fmt: skip
    day = Both(side, side).half(side.half(lit))
    return Change("load_over", text % {**_said(after, refusal), "left": _counts(after, refusal.left), "day": day},
                  (firing,))  # fmt: skip


def _smaller(after: Live, noted: Sequence[Refusal]) -> Change:
    """What was noted of one kiln and stage: the first by its counts, the others by their number."""
    text = _("%(kiln)s: the %(firing)s is planned smaller, because it did not fit. %(counts)s find no place together.")
    text %= {**_said(after, noted[0]), "counts": _counts(after, noted[0].counts)}
    n = len(noted) - 1
    if n:
        text += " " + ngettext("%(n)d more such load was left out too.", "%(n)d more such loads were left out too.", n)
        text %= {"n": n}
    return Change("load_smaller", text, (noted[0].kiln,))


def _said(after: Live, refusal: Refusal) -> dict[str, str]:
    kiln = after.scenario.kiln[refusal.kiln]
    return {"kiln": kiln.name or kiln.id, "firing": _("bisque") if refusal.stage == "bisque" else _("glost")}


def _counts(after: Live, counts: Mapping[str, int]) -> str:
    def name(form: str) -> str:
        row = after.scenario.form.get(form)
        return (row.name if row else None) or form

    return words.joined([f"{n} × {name(form)}" for form, n in counts.items() if n])
