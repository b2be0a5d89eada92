"""Pieces followed on their way: what was lost of each form, what was seen on them, and what they went through.

One walk over the facts that count. Ware that was there before the first of them is left out. What is lost counts with
those that go on to the next stage. For faults, one piece is looked at once at each place: what was lost or noted before
the work that ends a stage is counted where it was told, the others with that work.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

from studio.record.facts import Fact, part_name

MAKING, BISQUE, GLOST = "making", "bisque", "glost"  # to bone-dry; to the glaze; to firsts
OUT, GREEN = "taking out", "leather-hard or dry"  # where faults are seen, as BISQUE and GLOST are
STANDING = {"leather": MAKING, "bisqued": BISQUE}  # of ware that was there at the beginning; else GLOST
WHERE = {"press": OUT, "in_mould": OUT, "leather": GREEN, "kiln": BISQUE, "bisqued": BISQUE, "glazed": GLOST,
         "fired": GLOST}  # fmt: skip


class Passed(NamedTuple):
    """``passed`` pieces that went on to the next stage and ``lost`` ones, of ``among`` that stood there together."""

    passed: int
    lost: int
    among: int


Losses = dict[tuple[str, str], list[Passed]]


@dataclass(frozen=True)
class Links:
    """What a ware went through, as far as it is known and all of it is alike: "" where not.

    ``mould``: where one alone is known to have made it. ``pressing``: the batch that it was pressed as, which knows its
    clay. ``firings``: by stage.
    """

    form: str
    mould: str = ""
    pressing: str = ""
    glaze: str = ""
    glaze_batch: str = ""
    firings: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Looked:
    """``pieces`` that came to where faults are ``seen``, and how many of them show each fault."""

    seen: str
    pieces: int
    faults: Mapping[str, int]
    links: Links


@dataclass(frozen=True)
class Fired:
    """A firing: its kiln, the minute of its packing, and the pieces of each form in it."""

    kiln: str
    at: int
    stage: str
    forms: Mapping[str, int]


@dataclass
class Ware:
    """Pieces that stand together. ``lost`` on the way to the next stage; ``told`` of already, by where it was seen."""

    links: Links
    stage: str
    there: int
    lost: int = 0
    told: Counter[str] = field(default_factory=Counter)
    told_of: set[str] = field(default_factory=set)  # the moulds of those told of at the taking out


@dataclass
class Followed:
    """``losses`` by form and stage, in the order of the facts; ``first``: the minute of the first that counted.

    Seconds are lost to their order, so they count as lost in the glost.
    """

    losses: Losses = field(default_factory=lambda: defaultdict(list))
    first: int | None = None
    looked: list[Looked] = field(default_factory=list)
    firings: dict[str, Fired] = field(default_factory=dict)
    unnamed: int = 0  # pieces lost, or seconds, without a word of what was seen
    ware: dict[str, Ware] = field(default_factory=dict)
    inside: dict[str, list[tuple[str, int, Ware]]] = field(default_factory=dict)  # by firing: ware, count, that part

    def note(self, fact: Fact, form: str, stage: str, passed: int, lost: int, among: int) -> None:
        if passed + lost > 0:
            self.losses[form, stage].append(Passed(passed, lost, among))
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

    def on(self, fact: Fact, ware: Ware, passed: int) -> None:
        """``passed`` pieces go on to the next stage; what was lost before counts now, beside them."""
        self.note(fact, ware.links.form, ware.stage, passed, ware.lost, passed + ware.lost)
        ware.lost = 0

    def look(self, seen: str, ware: Ware | None, pieces: int, faults: Mapping[str, int]) -> None:
        """``pieces`` are looked at, without those of which it was told before."""
        if ware is None or pieces <= 0:
            return
        self.unnamed += faults.get("", 0)
        known = {k: min(n, pieces) for k, n in faults.items() if k and n}
        told = min(ware.told[seen], pieces)
        ware.told[seen] -= told
        left = max(pieces - told, *known.values(), 0) if known else pieces - told
        if left:
            self.looked.append(Looked(seen, left, known, ware.links))


    def look_one_by_one(self, ware: Ware, faulty: Mapping[str, str], good: Iterable[str] = ()) -> None:
        """Pieces whose moulds are known, looked at in the mould: by mould the fault of the ``faulty`` ones."""
        for mould in [*faulty, *good]:
            faults = {faulty[mould]: 1} if faulty.get(mould) else {}
            self.looked.append(Looked(OUT, 1, faults, replace(ware.links, mould=mould)))


def follow(facts: Iterable[Fact]) -> Followed:
    """All that ``facts`` (those that count, in the order of folding) tell."""
    walk = Followed()
    for fact in facts:
        handle = HANDLERS.get(fact.kind)
        if handle is not None:
            handle(walk, fact, fact.data)
    walk.losses = dict(walk.losses)
    return walk


def _pressed(walk: Followed, fact: Fact, d: dict[str, Any]) -> None:
    moulds = set(d["moulds"])
    links = Links(d["form"], next(iter(moulds)) if len(moulds) == 1 else "", d["batch"])
    walk.ware[d["batch"]] = Ware(links, MAKING, d["count"])


def _opening(walk: Followed, fact: Fact, d: dict[str, Any]) -> None:
    links = Links(d["form"], glaze=d.get("glaze") or "")
    walk.ware[d["id"]] = Ware(links, STANDING.get(d["stage"], GLOST), d["count"])


def _taken_out(walk: Followed, fact: Fact, d: dict[str, Any]) -> None:
    """Each piece has its own mould, as long as it is known from which of them those with a fault came."""
    ware, of = walk.ware.get(d["batch"]), d.get("from_moulds", [])
    known = ware is not None and ware.told[OUT] == len(ware.told_of) and len(of) == (d["lost"] if d["why"] else 0)
    moulds = [m for m in d["moulds"] if ware is not None and m not in ware.told_of]
    if ware is not None and known and len(moulds) + len(ware.told_of) == d["good"] + d["lost"]:
        walk.unnamed += 0 if d["why"] else d["lost"]
        walk.look_one_by_one(ware, dict.fromkeys(of, d["why"]), [m for m in moulds if m not in of])
        ware.told[OUT], ware.told_of = 0, set()
        _go_on(walk, fact)
    else:
        _worked(walk, fact, OUT)


def _step_done(walk: Followed, fact: Fact, d: dict[str, Any]) -> None:
    _worked(walk, fact, GREEN)


def _worked(walk: Followed, fact: Fact, seen: str) -> None:
    d = fact.data
    walk.look(seen, walk.ware.get(d["batch"]), d["good"] + d["lost"], {d["why"]: d["lost"]})
    _go_on(walk, fact)


def _go_on(walk: Followed, fact: Fact) -> None:
    """What is left to do goes on under a name of its own."""
    d = fact.data
    ware = walk.ware.get(d["batch"])
    walk.lose(fact, d["batch"], d["lost"])
    if ware is not None and d["left"]:
        left = min(d["left"], ware.there)
        walk.ware[d["remainder"]] = Ware(ware.links, ware.stage, left)
        ware.there -= left


def _packed(walk: Followed, fact: Fact, d: dict[str, Any]) -> None:
    """What goes into a bisque kiln has come through the making."""
    firing, bisque = d["firing"], d["stage"] == "bisque"
    inside = walk.inside.setdefault(firing, [])
    for piece in d["pieces"]:
        ware = walk.ware.get(piece["batch"])
        if ware is None:
            continue
        count = min(piece["count"], ware.there)
        if bisque:
            walk.on(fact, ware, count)
        links = replace(ware.links, firings={**ware.links.firings, d["stage"]: firing})
        part = Ware(links, BISQUE if bisque else GLOST, count, told=Counter(ware.told))
        ware.there -= count
        inside.append((piece["batch"], piece["count"], part))
        walk.ware[part_name(firing, piece["batch"])] = part
        if not ware.there:
            walk.ware[piece["batch"]] = part  # all of it: it keeps its name
    forms: Counter[str] = Counter()
    for _ware, count, part in inside:
        forms[part.links.form] += count
    walk.firings[firing] = Fired(d["kiln"], fact.happened, d["stage"], dict(forms))


def _drawn(walk: Followed, fact: Fact, d: dict[str, Any]) -> None:
    """A bisque firing is looked at whole; of a glost firing only what is lost, since the rest is sorted."""
    inside = walk.inside.pop(d["firing"], [])
    lost: dict[str, Counter[str]] = defaultdict(Counter)
    for row in d["lost"]:
        lost[row["batch"]][row["why"]] += row["count"]
    for ware, count, part in inside:
        faults = lost.get(part_name(d["firing"], ware)) or lost.get(ware) or Counter()
        bisque = part.stage == BISQUE
        walk.look(BISQUE if bisque else GLOST, part, count if bisque else faults.total(), faults)
    for row in d["lost"]:
        walk.lose(fact, row["batch"], row["count"])
    for _ware, _count, part in inside:
        if part.stage == BISQUE:
            walk.on(fact, part, part.there)


def _lost(walk: Followed, fact: Fact, d: dict[str, Any]) -> None:
    ware = walk.ware.get(d["batch"])
    seen = _where(ware, d["where"])
    rest = d["count"] - _by_mould(walk, ware, seen, d)
    walk.look(seen, ware, rest, {d["why"]: rest})
    walk.lose(fact, d["batch"], d["count"])


def _seen(walk: Followed, fact: Fact, d: dict[str, Any]) -> None:
    """Seen on pieces that go on: they are looked at now, and not again at this place."""
    ware = walk.ware.get(d["batch"])
    if ware is None:
        return
    seen = _where(ware, d["where"])
    known = _by_mould(walk, ware, seen, d)
    if d["count"] > known:
        walk.looked.append(Looked(seen, d["count"] - known, {d["why"]: d["count"] - known}, ware.links))
    ware.told[seen] += d["count"]
    ware.told_of.update(d.get("from_moulds", ())[:known])


def _by_mould(walk: Followed, ware: Ware | None, seen: str, d: dict[str, Any]) -> int:
    """Those of which it is known from which mould they came; how many they are."""
    of = d.get("from_moulds", [])[: d["count"]] if seen == OUT and d["why"] else []
    if ware is not None:
        walk.look_one_by_one(ware, dict.fromkeys(of, d["why"]))
    return len(of)


def _where(ware: Ware | None, stage: str) -> str:
    return GLOST if ware is not None and ware.stage == GLOST else WHERE.get(stage, GLOST)


def _glazed(walk: Followed, fact: Fact, d: dict[str, Any]) -> None:
    wares = [walk.ware[p["batch"]] for p in d["pieces"] if p["batch"] in walk.ware]
    for piece in d["pieces"]:
        ware = walk.ware.get(piece["batch"])
        if ware is not None:
            ware.there -= min(piece["count"], ware.there)
    links = _alike(d["form"], [w.links for w in wares])
    links = replace(links, glaze=d["glaze"], glaze_batch=d.get("glaze_batch") or "")
    walk.ware[d["lot"]] = Ware(links, GLOST, sum(p["count"] for p in d["pieces"]))


def _alike(form: str, links: list[Links]) -> Links:
    """What is true of all of them."""
    if not links:
        return Links(form)
    first = links[0]
    moulds, pressings = ({getattr(x, name) for x in links} for name in ("mould", "pressing"))
    firings = {s: f for s, f in first.firings.items() if all(x.firings.get(s) == f for x in links)}
    return Links(form, first.mould if len(moulds) == 1 else "", first.pressing if len(pressings) == 1 else "",
                 firings=firings)  # fmt: skip


def _sorted(walk: Followed, fact: Fact, d: dict[str, Any]) -> None:
    """What is named as the reason stands for the seconds and the lost together, and for those of the firsts that show
    it, spread over the ware in its order."""
    before, pieces = 0, sum(p["count"] for p in d["pieces"])
    faulty = d["seconds"] + d["lost"] + (min(d.get("showing", 0), d["firsts"]) if d["why"] else 0)
    for piece in d["pieces"]:
        ware = walk.ware.get(piece["batch"])
        n = min(faulty, piece["count"])
        faulty -= n
        walk.look(GLOST, ware, piece["count"], {d["why"]: n})
        if ware is not None:
            before, ware.lost = before + ware.lost, 0
            ware.there -= min(piece["count"], ware.there)
    lost = d["seconds"] + d["lost"] + before
    walk.note(fact, d["form"], GLOST, d["firsts"], lost, pieces + before)


HANDLERS: dict[str, Callable[[Followed, Fact, dict[str, Any]], None]] = {
    "pressed": _pressed, "opening": _opening, "taken_out": _taken_out, "step_done": _step_done, "packed": _packed,
    "drawn": _drawn, "lost": _lost, "seen": _seen, "glazed": _glazed, "sorted": _sorted,
}  # fmt: skip
