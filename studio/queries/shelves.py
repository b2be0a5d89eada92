"""A load shelf by shelf, by the same arithmetic as the planner's rule for what fits a kiln (R08)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil


@dataclass(frozen=True)
class Stand:
    """How a form stands on the shelves of one kiln: the free height it needs, and pieces a shelf."""

    clearance_mm: int
    per_shelf: int


@dataclass(frozen=True)
class Shelf:
    """One shelf in the order of packing; ``parts`` are form id and pieces, ``prop_mm`` the height of its props."""

    number: int
    prop_mm: int
    parts: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Stack:
    """``strangers`` are forms of which nobody said how many stand on a shelf of this kiln."""

    shelves: tuple[Shelf, ...]
    height_mm: int
    strangers: tuple[str, ...] = ()


def stack(counts: Mapping[str, int], stands: Mapping[str, Stand], shelf_mm: int) -> Stack:
    """Lay ``counts`` (pieces by form) on shelves, the tallest ware first; lower ware fills up a taller shelf.

    Each piece takes its part of a shelf and stands on the one where its part begins. So 12 bowls (20 a shelf,
    100 mm), 8 beakers (16 a shelf, 75 mm) and 30 saucers (20 a shelf, 40 mm) on shelves of 20 mm give three shelves of
    120 + 95 + 60 = 275 mm: bowls and 7 beakers, 1 beaker and 18 saucers, 12 saucers.
    """
    known = sorted((f for f in counts if f in stands and counts[f] > 0), key=lambda f: (-stands[f].clearance_mm, f))
    filled, laid, props = Fraction(0), [], []
    for form in known:
        share = Fraction(1, stands[form].per_shelf)
        laid += [(int(filled + i * share), form) for i in range(counts[form])]
        filled += counts[form] * share
        props += [stands[form].clearance_mm] * (ceil(filled) - len(props))
    shelves = tuple(Shelf(n + 1, prop, _on(n, laid)) for n, prop in enumerate(props))
    height = sum(prop + shelf_mm for prop in props)
    return Stack(shelves, height, tuple(f for f in counts if f not in stands and counts[f] > 0))


def _on(number: int, laid: Iterable[tuple[int, str]]) -> tuple[tuple[str, int], ...]:
    found: dict[str, int] = {}
    for at, form in laid:
        if at == number:
            found[form] = found.get(form, 0) + 1
    return tuple(found.items())
