"""A load as it is laid out, kept with its plan: what it was made from, and where each piece stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import astuple, dataclass, replace
from typing import Any

from planner.craft.shelves import Disc, Level, Load, Placed, Stack, Ware
from studio.defaults.forms import shelf_shape
from studio.models import FormTimings, Kiln
from studio.queries.laid import Laid, Space, Thing, lay, reduced


@dataclass(frozen=True)
class Kept:
    """A load with what it was laid out from; it holds as long as these are the same."""

    kiln: str
    things: tuple[Thing, ...]
    space: Space
    stage: str
    laid: Laid

    @property
    def counts(self) -> dict[str, int]:
        return {t.key: t.count for t in self.things}

    @property
    def shelves(self) -> list[dict[str, int]]:
        """Pieces by form on each shelf, from the bottom up."""
        found = []
        for level in self.laid.load.levels:
            here: dict[str, int] = {}
            for p in level.placed:
                here[p.key] = here.get(p.key, 0) + p.pieces
            found.append(here)
        return found


def space_of(kiln: Kiln) -> Space:
    """The inside of a kiln as it stands in the table."""
    is_round, width = shelf_shape(kiln.shelf_kind)
    return Space(is_round, width, kiln.stack_mm, kiln.shelf_mm, kiln.shelves)


def things_of(
    counts: Mapping[str, int], timings: Iterable[FormTimings], kiln: Kiln, stage: str, trusted: Iterable[str]
) -> tuple[Thing, ...]:
    """``counts`` (pieces by form) with sizes; none at all where one is missing."""
    known, own = {t.form.public_id: t for t in timings}, set(trusted)
    things = []
    for key in sorted(k for k, n in counts.items() if n):
        said = getattr(known[key], stage) if key in known else {"per_shelf": {}}
        on_one = said["per_shelf"].get(kiln.public_id)
        if not on_one:
            return ()
        form = known[key].form
        things.append(
            Thing(key, counts[key], form.fired_mm, said["clearance_mm"], on_one, form.handle, key in own)
        )  # fmt: skip
    return tuple(things)


def trusted_in(kiln: Kiln, stage: str) -> frozenset[str]:
    """Forms of which the studio says that its own count on a shelf is right, by a note on that form alone."""
    notes = (x["counts"] for x in kiln.limits if x.get("fits") and x["stage"] == stage)
    return frozenset(form for counts in notes if len(counts) == 1 for form in counts)


def holds(load: Mapping[str, int], part: Mapping[str, int]) -> bool:
    """Whether a load holds at least ``part``."""
    return all(load.get(form, 0) >= n for form, n in part.items())


def said_to_fit(kiln: Kiln, stage: str, counts: Mapping[str, int]) -> bool:
    """Whether the studio has said that so much goes in."""
    trusted = trusted_in(kiln, stage)
    notes = (x["counts"] for x in kiln.limits if x.get("fits") and x["stage"] == stage)
    return bool(counts) and (trusted.issuperset(counts) or any(holds(said, counts) for said in notes))


def laid_out(kiln: Kiln, things: tuple[Thing, ...], stage: str, known: Iterable[Kept] = ()) -> Kept:
    """The load: out of a ``known`` one that is the same or larger and finds its place, else searched.

    Raises OutOfRange, with a sentence, for sizes or counts that no shelf can have.
    """
    space, counts = space_of(kiln), {t.key: t.count for t in things}
    there = [k for k in known if (k.kiln, k.stage, k.space) == (kiln.public_id, stage, space)]
    for kept in there:
        less = reduced(kept.laid, counts) if same_sizes(things, kept) else None
        if less is not None:
            return kept if kept.things == things else Kept(kept.kiln, things, space, stage, less)
    same = next((k for k in there if k.things == things), None)
    return same or Kept(kiln.public_id, things, space, stage, lay(things, space, stage))


def same_sizes(things: tuple[Thing, ...], kept: Kept) -> bool:
    """Whether each of the forms is kept with the same sizes."""
    sizes = {t.key: replace(t, count=0) for t in kept.things}
    return all(sizes.get(t.key) == replace(t, count=0) for t in things)


def to_json(kept: Kept) -> dict[str, Any]:
    """All of it as JSON, without loss."""
    laid, stack = kept.laid, kept.laid.stack
    return {
        "kiln": kept.kiln, "stage": kept.stage, "space": list(astuple(kept.space)),
        "things": [list(astuple(t)) for t in kept.things],
        "gap": stack.gap_mm, "props": _discs(stack.posts), "posts": _discs(laid.posts),
        "wares": [list(astuple(w)) for w in laid.wares], "body": dict(laid.body_mm), "fewer": dict(laid.fewer),
        "too_much": dict(laid.too_much), "left": dict(laid.load.left),
        "levels": [
            [x.free_mm, [[p.key, p.disc.x, p.disc.y, p.disc.diameter_mm, p.pieces] for p in x.placed]]
            for x in laid.load.levels
        ],
    }  # fmt: skip


def _discs(discs: Iterable[Disc]) -> list[list[float]]:
    return [[d.x, d.y, d.diameter_mm] for d in discs]


def from_json(said: dict[str, Any]) -> Kept:
    """What :func:`to_json` gave."""
    space = Space(*said["space"])
    levels = tuple(
        Level(free, tuple(Placed(key, Disc(x, y, wide), n) for key, x, y, wide, n in placed))
        for free, placed in said["levels"]
    )
    stack = Stack(
        space.stack_mm, space.shelf, space.shelf_mm, space.shelves, said["gap"], tuple(Disc(*d) for d in said["props"])
    )
    laid = Laid(
        stack, tuple(Ware(*w) for w in said["wares"]), Load(levels, said["left"]), said["body"],
        tuple(Disc(*d) for d in said["posts"]), said["fewer"], said["too_much"],
    )  # fmt: skip
    return Kept(said["kiln"], tuple(Thing(*t) for t in said["things"]), space, said["stage"], laid)
