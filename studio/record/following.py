"""One walk over the facts that count, from the pressing to the sorting; ware that was there before is left out."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

from studio.record.facts import Fact, part_name
from studio.record.followed import (
    BISQUE,
    GLOST,
    GREEN,
    MAKING,
    OUT,
    WHERE,
    Fired,
    Followed,
    Links,
    Looked,
    Setting,
    Ware,
)

STANDING = {"leather": MAKING, "bisqued": BISQUE}  # of ware that was there at the beginning; else GLOST


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
    mould = next(iter(moulds)) if len(moulds) == 1 else ""
    links = Links(d["form"], mould, walk.present.get(d["form"], ""), d["batch"])
    walk.ware[d["batch"]] = Ware(links, MAKING, d["count"])


def _setting(walk: Followed, fact: Fact, d: dict[str, Any]) -> None:
    walk.settings[fact.id] = Setting(d["form"], d["ball_g"], d["stop"], fact.happened)
    walk.present[d["form"]] = fact.id


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
    firings = {s: f for s, f in first.firings.items() if all(x.firings.get(s) == f for x in links)}
    same = {
        name: getattr(first, name) if len({getattr(x, name) for x in links}) == 1 else ""
        for name in ("mould", "setting", "pressing")
    }
    return Links(form, **same, firings=firings)


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
    "setting": _setting, "pressed": _pressed, "opening": _opening, "taken_out": _taken_out,
    "step_done": _step_done, "packed": _packed, "drawn": _drawn, "lost": _lost, "seen": _seen, "glazed": _glazed,
    "sorted": _sorted,
}  # fmt: skip
