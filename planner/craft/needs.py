"""What the coming days take of clay, glaze, plaster and energy, and so what to buy."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import ceil

from planner.craft.glaze import take
from planner.craft.ranges import within


class Kind(StrEnum):
    CLAY = "clay"
    GLAZE = "glaze"
    PLASTER = "plaster"
    ENERGY = "energy"


@dataclass(frozen=True, slots=True)
class Pressing:
    """So many pressings of a form in a clay: its ball, the spare cut off and clay for handles, g each."""

    clay: str
    count: int
    ball_g: float
    spare_g: float = 0.0
    handle_g: float = 0.0


@dataclass(frozen=True, slots=True)
class Glazing:
    """So many pieces in a glaze, with dry glaze on each in g and the bucket's density in g/l."""

    glaze: str
    count: int
    dry_g: float
    density_g_l: float


@dataclass(frozen=True, slots=True)
class Pouring:
    """So many moulds poured, of a plaster in g each."""

    plaster: str
    count: int
    plaster_g: float


@dataclass(frozen=True, slots=True)
class Fired:
    """So many firings of a kiln at kWh each."""

    kiln: str
    count: int
    kwh: float


Work = Pressing | Glazing | Pouring | Fired
Item = tuple[Kind, str]


def weighed_clay_g(pressing: Pressing) -> float:
    """Clay to weigh off (g): count × (ball + handle)."""
    within(pressing.count, 0, 1_000_000, "the pressings", "pressings")
    within(pressing.ball_g, 0, 50_000, "the ball", "g")
    within(pressing.handle_g, 0, 10_000, "the handle", "g")
    return pressing.count * (pressing.ball_g + pressing.handle_g)


def reclaimed_g(pressing: Pressing, comes_back: float = 0.8) -> float:
    """Spare that comes back from the reclaim (g); ``comes_back`` 0 to 1 of it, 0.8 is common practice, no source."""
    within(pressing.spare_g, 0, max(0.0, pressing.ball_g), "the spare of this ball", "g")
    within(comes_back, 0, 1, "the part of the spare that comes back")
    return pressing.count * pressing.spare_g * comes_back


def needs(work: Iterable[Work]) -> dict[Item, float]:
    """What some work takes: clay, dry glaze and plaster in g, energy in kWh. Spare is not yet taken off."""
    out: dict[Item, float] = defaultdict(float)
    for w in work:
        match w:
            case Pressing():
                out[Kind.CLAY, w.clay] += weighed_clay_g(w)
            case Glazing():
                out[Kind.GLAZE, w.glaze] += take(w.count, w.dry_g, w.density_g_l).dry_g
            case Pouring():
                within(w.count, 0, 10_000, "the moulds poured", "moulds")
                out[Kind.PLASTER, w.plaster] += w.count * within(w.plaster_g, 0, 500_000, "the plaster of a mould", "g")
            case Fired():
                within(w.count, 0, 1000, "the firings", "firings")
                out[Kind.ENERGY, w.kiln] += w.count * within(w.kwh, 0, 100_000, "the energy of a firing", "kWh")
    return dict(out)


@dataclass(frozen=True, slots=True)
class Buy:
    """One line of the list: what is needed and what is there (g, or kWh), what is missing, and packs to buy."""

    kind: Kind
    name: str
    needed: float
    there: float
    missing: float
    packs: int


def shopping(
    needed: Mapping[Item, float], there: Mapping[Item, float], packs: Mapping[Item, float], margin: float = 0.1
) -> list[Buy]:
    """The shopping list, in the order of its kinds and by name; energy is listed, but none of it is in packs.

    ``there``: what the studio has (with reclaimed clay); ``packs``: the size of a bag or pack in g, for whole ones.
    ``margin`` 0 to 1 is added to what is needed: 0.1 is common practice, no source.
    """
    within(margin, 0, 1, "the margin")
    out = []
    for (kind, name), amount in sorted(needed.items(), key=lambda x: (list(Kind).index(x[0][0]), x[0][1])):
        within(amount, 0, 1e9, f"the {kind} needed of {name}")
        have = within(there.get((kind, name), 0.0), 0, 1e9, f"the {kind} there of {name}")
        size = within(packs.get((kind, name), 0.0), 0, 1e7, f"the pack of {name}", "g")
        missing = max(0.0, amount * (1 + (0 if kind is Kind.ENERGY else margin)) - have)
        out.append(Buy(kind, name, amount, have, missing, ceil(missing / size - 1e-9) if size else 0))
    return out
