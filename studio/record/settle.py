"""What undo and correction leave of the facts: done before folding, so that folding need not know of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any, NamedTuple

from studio.record.facts import Fact
from studio.record.form import ABOUT_FACTS, check_form


class Settled(NamedTuple):
    """A fact that counts, with its corrections in its data, and the corrections that cannot be."""

    fact: Fact
    bad_corrections: tuple[str, ...]


def settle(facts: Iterable[Fact]) -> list[Settled]:
    """The facts that count, in the order of folding.

    1. An undo or correction speaks of an earlier fact (earlier in the order of folding and in the record); any
       other one is without effect. So nothing can undo itself, by whatever detour.
    2. From the last undo to the first: it counts unless one that counts undoes it. An undone fact is left out.
    3. Corrections that count replace keys, the later word winning; a correction may itself be corrected. One that
       would break the form of its fact has no effect and is named.
    """
    known = {f.id: f for f in facts if f.kind not in ABOUT_FACTS or not check_form(f.kind, f.data)}
    undone = _undone(known)
    corrections: dict[str, list[Fact]] = {}
    for fact in sorted((f for f in known.values() if f.kind == "correction"), key=_place):
        if fact.id not in undone and _earlier(known, fact):
            corrections.setdefault(fact.data["of"], []).append(fact)
    told = sorted((f for f in known.values() if f.kind not in ABOUT_FACTS and f.id not in undone), key=_place)
    return [_corrected(f, corrections) for f in told]


def _place(fact: Fact) -> tuple[int, int]:
    return fact.place


def _earlier(known: dict[str, Fact], fact: Fact) -> Fact | None:
    """The earlier fact that ``fact`` speaks of, if there is such a one."""
    of = known.get(fact.data["of"])
    return of if of is not None and of.place < fact.place and of.seq < fact.seq else None


def _undone(known: dict[str, Fact]) -> set[str]:
    undone: set[str] = set()
    for fact in sorted((f for f in known.values() if f.kind == "undo"), key=_place, reverse=True):
        if fact.id not in undone and _earlier(known, fact):
            undone.add(fact.data["of"])
    return undone


def _said(correction: Fact, corrections: dict[str, list[Fact]]) -> dict[str, Any]:
    """The keys that ``correction`` replaces, as corrected themselves."""
    data = dict(correction.data["data"])
    for later in corrections.get(correction.id, ()):
        data.update(_said(later, corrections))
    return data


def _corrected(fact: Fact, corrections: dict[str, list[Fact]]) -> Settled:
    data, bad = fact.data, []
    for correction in corrections.get(fact.id, ()):
        tried = {**data, **_said(correction, corrections)}
        if check_form(fact.kind, tried):
            bad.append(correction.id)
        else:
            data = tried
    return Settled(fact if data is fact.data else replace(fact, data=data), tuple(bad))


def root(fact: Fact, find: Callable[[str], Fact | None]) -> Fact:
    """The fact that an undo or correction speaks of in the end; ``fact`` itself for any other, or if unknown."""
    seen = set()
    while fact.kind in ABOUT_FACTS and fact.id not in seen:
        seen.add(fact.id)
        of = find(fact.data["of"])
        if of is None:
            break
        fact = of
    return fact


def touches(fact: Fact, find: Callable[[str], Fact | None]) -> tuple[int, int]:
    """The first place in the order of folding whose state ``fact`` can change. ``find`` gives a fact by its id."""
    return root(fact, find).place
