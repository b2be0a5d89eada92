"""The picture of a load: each kiln shelf from above, to scale, with a letter for each form and the same as a list."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from planner.craft.shelves import Level, Placed, Round
from studio.models import FormTimings, Kiln
from studio.queries.laid import Laid, OutOfRange, Thing
from studio.queries.laid_kept import Kept, holds, laid_out, same_sizes, things_of, trusted_in

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
PAPER_MM = 130  # the widest picture on paper, so that two stand side by side
SCALES = (2, 5, 10, 20, 25, 50)
MARGIN_MM = 4
COUNT, WIDTH = "count", "width"  # what a load may be drawn by instead
AS_KEPT, LESS, ANEW = "kept", "less", "anew"


@dataclass(frozen=True)
class Circle:
    """A round thing of a picture, in mm as text, since pictures know no decimal commas."""

    x: str
    y: str
    r: str
    label: str = ""
    size: str = ""  # of the label's letters
    base: str = ""  # where the label stands
    tone: int = 0
    reach: str = ""  # of a handle


@dataclass(frozen=True)
class OnShelf:
    """Pieces of one form on one shelf; ``piles`` is 0 where none stands on another."""

    letter: str
    form: str
    name: str
    pot: str
    count: int
    piles: int


@dataclass(frozen=True)
class Picture:
    """One shelf from above: circles, the posts of its props, and what stands on it as a list."""

    number: int
    prop_mm: int
    circles: tuple[Circle, ...]
    posts: tuple[Circle, ...]
    parts: tuple[OnShelf, ...]


@dataclass(frozen=True)
class Fewer:
    """A form of which the studio counts ``own`` on a shelf, and by its width ``by_width`` find a place."""

    form: str
    name: str
    own: int
    by_width: int
    by_count: bool  # drawn by the studio's count, so narrower than it is


@dataclass(frozen=True)
class Named:
    form: str
    name: str
    count: int


@dataclass(frozen=True)
class Drawn:
    """A load to scale. ``left``: what found no place; ``too_much``: the part of the load that is to blame for it.

    ``how``: as it was kept with the plan, the same with less on it, or laid out anew. ``by``: what the page asked to
    have it drawn by, if it did.
    """

    round: bool
    width: str
    box: str
    paper: str  # width on paper at ``scale``
    scale: int
    by: str
    how: str
    glazed: bool
    gap_mm: int
    height_mm: int
    pictures: tuple[Picture, ...]
    left: tuple[Named, ...] = ()
    too_much: tuple[Named, ...] = ()
    fewer: tuple[Fewer, ...] = field(default=())
    laid: Laid | None = None

    @property
    def fits(self) -> bool:
        return not self.left

    @property
    def propped(self) -> bool:
        """Whether one of the usual places of three posts is free on every shelf."""
        return any(p.posts for p in self.pictures)

    @property
    def half(self) -> str:
        return f"{float(self.width) / 2:g}"


Pots = Mapping[str, tuple[str, str]]  # form → its name and its picture


def drawn(
    counts: Mapping[str, int], timings: Iterable[FormTimings], kiln: Kiln, stage: str, pots: Pots, by: str = "",
    kept: Kept | None = None,
) -> Drawn | None:
    """The picture of ``counts`` (pieces by form); None where sizes or counts are missing or make no shelf.

    ``kept``: how the load was laid out when its plan was made; what still holds of it is drawn.
    """
    trusted = {COUNT: counts.keys(), WIDTH: ()}.get(by, trusted_in(kiln, stage))
    things = things_of(counts, timings, kiln, stage, trusted)
    if not things:
        return None
    try:
        found = laid_out(kiln, things, stage, () if kept is None or by else (kept,))
    except OutOfRange:
        return None
    told = _told(found.laid, things, int(found.space.width_mm), stage, pots)
    return replace(told, by=by, how=_how(found, kept))


def _how(found: Kept, kept: Kept | None) -> str:
    if kept is not None and found.laid == kept.laid:
        return AS_KEPT
    alike = kept is not None and found.space == kept.space and same_sizes(found.things, kept)
    return LESS if alike and kept is not None and holds(kept.counts, found.counts) else ANEW


def _told(laid: Laid, things: tuple[Thing, ...], width: int, stage: str, pots: Pots) -> Drawn:
    ranked = {t.key: i for i, t in enumerate(sorted(things, key=lambda t: (-t.count, t.key)))}
    own = {t.key: t for t in things}
    side = width + 2 * MARGIN_MM
    scale = next((s for s in SCALES if side / s <= PAPER_MM), SCALES[-1])
    pictures = tuple(_picture(n, level, laid, own, ranked, pots) for n, level in enumerate(laid.load.levels, 1))
    return Drawn(
        round=isinstance(laid.stack.shelf, Round), width=str(width), paper=f"{side / scale:.1f}mm", scale=scale,
        box=f"{-side / 2:g} {-side / 2:g} {side} {side}", by="", how=ANEW, glazed=stage == "glost",
        gap_mm=round(laid.stack.gap_mm), height_mm=round(laid.load.height_mm(laid.stack.thickness_mm)),
        pictures=pictures, left=_named(laid.load.left, pots), too_much=_named(laid.too_much, pots),
        fewer=tuple(Fewer(k, pots[k][0], own[k].per_shelf, n, own[k].trusted) for k, n in laid.fewer.items()),
        laid=laid,
    )  # fmt: skip


def _named(counts: Mapping[str, int], pots: Pots) -> tuple[Named, ...]:
    return tuple(Named(form, pots[form][0], n) for form, n in counts.items() if n)


def _picture(
    number: int, level: Level, laid: Laid, own: Mapping[str, Thing], ranked: Mapping[str, int], pots: Pots
) -> Picture:
    piles = {w.key: w.pile > 1 for w in laid.wares}
    circles = tuple(_pot(p, laid, own[p.key].handle, ranked[p.key], piles[p.key]) for p in level.placed)
    parts = []
    for key in sorted({p.key for p in level.placed}, key=ranked.__getitem__):
        here = [p.pieces for p in level.placed if p.key == key]
        there = len(here) if piles[key] else 0
        parts.append(OnShelf(_letter(ranked[key]), key, *pots[key], sum(here), there))
    posts = tuple(Circle(f"{p.x:.1f}", f"{-p.y:.1f}", f"{p.diameter_mm / 2:.1f}") for p in laid.posts)
    return Picture(number, round(level.free_mm), circles, posts, tuple(parts))


def _letter(rank: int) -> str:
    return LETTERS[rank] if rank < len(LETTERS) else str(rank + 1)


def _pot(placed: Placed, laid: Laid, handle: bool, rank: int, piled: bool) -> Circle:
    """A pot from above, the back of the shelf at the top."""
    disc, radius = placed.disc, min(laid.body_mm[placed.key], placed.disc.diameter_mm) / 2
    label = f"{_letter(rank)}{placed.pieces}" if piled else _letter(rank)
    size = radius * (0.8 if len(label) > 1 else 1)
    reach = f"{disc.diameter_mm / 2:.1f}" if handle and disc.diameter_mm / 2 - radius > 1 else ""
    return Circle(f"{disc.x:.1f}", f"{-disc.y:.1f}", f"{radius:.1f}", label, f"{size:.0f}",
                  f"{-disc.y + size * 0.35:.1f}", rank % 4, reach)  # fmt: skip
