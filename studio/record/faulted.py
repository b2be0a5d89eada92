"""Pieces that came to where faults are seen, what was seen on them, and what they went through: from facts that count.

One piece is counted once at each place: what was lost before the work that ends a stage is counted where it was told,
the others with that work.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from studio.record.facts import Fact, part_name

OUT, GREEN, BISQUE, GLOST = "taking out", "leather-hard or dry", "bisque", "glost"
WHERE = {"in_mould": OUT, "leather": GREEN, "kiln": BISQUE, "bisqued": BISQUE, "glazed": GLOST, "fired": GLOST}


@dataclass(frozen=True)
class Links:
    """What a ware went through, as far as it is known; ``mould`` only where one alone made it."""

    form: str
    mould: str = ""
    glaze: str = ""
    firings: Mapping[str, str] = field(default_factory=dict)  # stage -> firing


@dataclass(frozen=True)
class Looked:
    """``pieces`` that came to where faults are ``seen``, and how many of them show each fault."""

    seen: str
    pieces: int
    faults: Mapping[str, int]
    links: Links


@dataclass
class Walk:
    """``firings``: by id, the kiln and the minute of the packing."""

    ware: dict[str, Links] = field(default_factory=dict)
    inside: dict[str, list[tuple[str, int]]] = field(default_factory=dict)
    stage: dict[str, str] = field(default_factory=dict)
    firings: dict[str, tuple[str, int]] = field(default_factory=dict)
    looked: list[Looked] = field(default_factory=list)
    unnamed: int = 0  # pieces lost, or seconds, without a word of what was seen

    def look(self, seen: str, ware: str, pieces: int, faults: Mapping[str, int]) -> None:
        links = self.ware.get(ware)
        if links is not None and pieces > 0:
            self.unnamed += faults.get("", 0)
            self.looked.append(Looked(seen, pieces, {k: min(n, pieces) for k, n in faults.items() if k and n}, links))


def faults_in(facts: Iterable[Fact]) -> Walk:
    """All that was looked at, in the order of ``facts``; ware unknown here (it came before) is left out."""
    walk = Walk()
    for fact in facts:
        handle = HANDLERS.get(fact.kind)
        if handle is not None:
            handle(walk, fact.data, fact.happened)
    return walk


def _pressed(walk: Walk, d: dict[str, Any], _at: int) -> None:
    moulds = set(d["moulds"])
    walk.ware[d["batch"]] = Links(d["form"], next(iter(moulds)) if len(moulds) == 1 else "")


def _opening(walk: Walk, d: dict[str, Any], _at: int) -> None:
    walk.ware[d["id"]] = Links(d["form"], glaze=d.get("glaze") or "")


def _taken_out(walk: Walk, d: dict[str, Any], _at: int) -> None:
    _worked(walk, d, OUT)


def _step_done(walk: Walk, d: dict[str, Any], _at: int) -> None:
    _worked(walk, d, GREEN)


def _worked(walk: Walk, d: dict[str, Any], seen: str) -> None:
    walk.look(seen, d["batch"], d["good"] + d["lost"], {d["why"]: d["lost"]})
    if d["left"] and d["batch"] in walk.ware:
        walk.ware[d["remainder"]] = walk.ware[d["batch"]]


def _packed(walk: Walk, d: dict[str, Any], at: int) -> None:
    firing = d["firing"]
    walk.firings[firing], walk.stage[firing] = (d["kiln"], at), d["stage"]
    for piece in d["pieces"]:
        links = walk.ware.get(piece["batch"])
        if links is None:
            continue
        part = part_name(firing, piece["batch"])
        walk.ware[part] = replace(links, firings={**links.firings, d["stage"]: firing})
        walk.inside.setdefault(firing, []).append((piece["batch"], piece["count"]))


def _drawn(walk: Walk, d: dict[str, Any], _at: int) -> None:
    """A bisque firing is looked at whole; of a glost firing only what is lost, since the rest is sorted."""
    firing = d["firing"]
    lost: dict[str, list[tuple[str, int]]] = {}
    for row in d["lost"]:
        lost.setdefault(row["batch"], []).append((row["why"], row["count"]))
    for ware, count in walk.inside.pop(firing, []):
        part = part_name(firing, ware)
        rows = lost.get(part, []) or lost.get(ware, [])
        faults: dict[str, int] = {}
        for why, n in rows:
            faults[why] = faults.get(why, 0) + n
        bisque = walk.stage[firing] == "bisque"
        walk.look(BISQUE if bisque else GLOST, part, count if bisque else sum(faults.values()), faults)
        walk.ware[ware] = walk.ware[part]


def _lost(walk: Walk, d: dict[str, Any], _at: int) -> None:
    links = walk.ware.get(d["batch"])
    seen = WHERE.get(d["where"], GLOST)
    if d["where"] == "kiln" and links is not None and "glost" in links.firings:
        seen = GLOST
    walk.look(seen, d["batch"], d["count"], {d["why"]: d["count"]})


def _glazed(walk: Walk, d: dict[str, Any], _at: int) -> None:
    first = next((walk.ware[p["batch"]] for p in d["pieces"] if p["batch"] in walk.ware), Links(d["form"]))
    walk.ware[d["lot"]] = replace(first, form=d["form"], glaze=d["glaze"])


def _sorted(walk: Walk, d: dict[str, Any], _at: int) -> None:
    """What is named as the reason stands for the seconds and the lost together, spread over the ware in its order."""
    left = d["seconds"] + d["lost"]
    for piece in d["pieces"]:
        n = min(left, piece["count"])
        walk.look(GLOST, piece["batch"], piece["count"], {d["why"]: n})
        left -= n


HANDLERS: dict[str, Callable[[Walk, dict[str, Any], int], None]] = {
    "pressed": _pressed, "opening": _opening, "taken_out": _taken_out, "step_done": _step_done, "packed": _packed,
    "drawn": _drawn, "lost": _lost, "glazed": _glazed, "sorted": _sorted,
}  # fmt: skip
