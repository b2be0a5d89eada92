"""What was lost of each form in the making, the bisque and the glost, and what went on: from facts that count."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from studio.record.facts import Fact, part_name

MAKING, BISQUE, GLOST = "making", "bisque", "glost"  # to bone-dry; to the glaze; to firsts
STANDING = {"leather": MAKING, "bisqued": BISQUE}  # of ware that was there at the beginning; else GLOST


class Passed(NamedTuple):
    """``passed`` pieces that went on to the next stage and ``lost`` ones, of ``among`` that stood there together."""

    passed: int
    lost: int
    among: int


Losses = dict[tuple[str, str], list[Passed]]


def losses_in(facts: Iterable[Fact]) -> tuple[Losses, int | None]:
    """By form and stage, in the order of ``facts``; and the minute of the first that counted.

    Seconds are lost to their order, so they count as lost in the glost. Ware unknown here (it came before) is left out.
    """
    walk = _Walk()
    for fact in facts:
        handle = HANDLERS.get(fact.kind)
        if handle is not None:
            handle(walk, fact)
    return dict(walk.found), walk.first


@dataclass
class _Ware:
    form: str
    stage: str
    there: int
    lost: int = 0  # on the way to the next stage; counts with those that get there


@dataclass
class _Walk:
    ware: dict[str, _Ware] = field(default_factory=dict)
    firings: dict[str, list[_Ware]] = field(default_factory=dict)
    found: Losses = field(default_factory=lambda: defaultdict(list))
    first: int | None = None

    def note(self, fact: Fact, form: str, stage: str, passed: int, lost: int, among: int) -> None:
        if passed + lost > 0:
            self.found[form, stage].append(Passed(passed, lost, among))
            self.first = fact.happened if self.first is None else min(self.first, fact.happened)

    def lose(self, fact: Fact, ware_id: str, count: int) -> None:
        """``count`` pieces of a ware are lost, as far as they are there."""
        ware = self.ware.get(ware_id)
        if ware is None or count <= 0:
            return
        lost = min(count, ware.there)
        ware.there -= lost
        ware.lost += lost
        if not ware.there:
            self.on(fact, ware, 0)

    def on(self, fact: Fact, ware: _Ware, passed: int) -> None:
        """``passed`` pieces go on to the next stage; what was lost before counts now, beside them."""
        self.note(fact, ware.form, ware.stage, passed, ware.lost, passed + ware.lost)
        ware.lost = 0


def _pressed(walk: _Walk, fact: Fact) -> None:
    d = fact.data
    walk.ware[d["batch"]] = _Ware(d["form"], MAKING, d["count"])


def _opening(walk: _Walk, fact: Fact) -> None:
    d = fact.data
    walk.ware[d["id"]] = _Ware(d["form"], STANDING.get(d["stage"], GLOST), d["count"])


def _worked(walk: _Walk, fact: Fact) -> None:
    """Taken out, or a step done: what is left to do goes on under a name of its own."""
    d = fact.data
    ware = walk.ware.get(d["batch"])
    walk.lose(fact, d["batch"], d["lost"])
    if ware is not None and d["left"]:
        left = min(d["left"], ware.there)
        walk.ware[d["remainder"]] = _Ware(ware.form, ware.stage, left)
        ware.there -= left


def _packed(walk: _Walk, fact: Fact) -> None:
    """What goes into a bisque kiln has come through the making."""
    d, bisque = fact.data, fact.data["stage"] == "bisque"
    inside = walk.firings.setdefault(d["firing"], [])
    for piece in d["pieces"]:
        ware = walk.ware.get(piece["batch"])
        if ware is None:
            continue
        count = min(piece["count"], ware.there)
        if bisque:
            walk.on(fact, ware, count)
        part = _Ware(ware.form, BISQUE if bisque else GLOST, count)
        ware.there -= count
        inside.append(part)
        walk.ware[part_name(d["firing"], piece["batch"])] = part
        if not ware.there:
            walk.ware[piece["batch"]] = part  # all of it: it keeps its name


def _drawn(walk: _Walk, fact: Fact) -> None:
    for row in fact.data["lost"]:
        walk.lose(fact, row["batch"], row["count"])
    for part in walk.firings.pop(fact.data["firing"], []):
        if part.stage == BISQUE:
            walk.on(fact, part, part.there)


def _lost(walk: _Walk, fact: Fact) -> None:
    walk.lose(fact, fact.data["batch"], fact.data["count"])


def _glazed(walk: _Walk, fact: Fact) -> None:
    d = fact.data
    for piece in d["pieces"]:
        ware = walk.ware.get(piece["batch"])
        if ware is not None:
            ware.there -= min(piece["count"], ware.there)
    walk.ware[d["lot"]] = _Ware(d["form"], GLOST, sum(p["count"] for p in d["pieces"]))


def _sorted(walk: _Walk, fact: Fact) -> None:
    d = fact.data
    before, pieces = 0, sum(p["count"] for p in d["pieces"])
    for piece in d["pieces"]:
        ware = walk.ware.get(piece["batch"])
        if ware is not None:
            before, ware.lost = before + ware.lost, 0
            ware.there -= min(piece["count"], ware.there)
    lost = d["seconds"] + d["lost"] + before
    walk.note(fact, d["form"], GLOST, d["firsts"], lost, pieces + before)


HANDLERS: dict[str, Callable[[_Walk, Fact], None]] = {
    "pressed": _pressed, "opening": _opening, "taken_out": _worked, "step_done": _worked, "packed": _packed,
    "drawn": _drawn, "lost": _lost, "glazed": _glazed, "sorted": _sorted,
}  # fmt: skip
