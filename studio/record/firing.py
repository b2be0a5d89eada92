"""Packing, lighting and drawing a kiln."""

from __future__ import annotations

from studio.record import forms
from studio.record.facts import part_name
from studio.record.happening import Happening
from studio.record.making import drop
from studio.record.state import BISQUED, FIRED, GLAZED, KILN, LEATHER, READS_KEPT, FiringState, KilnState, Ware


def kiln_of(h: Happening, kiln_id: str) -> KilnState:
    return h.state.kilns.setdefault(kiln_id, KilnState(kiln_id))


def packed(h: Happening) -> None:
    """A new firing. A kiln that held another one must have been drawn."""
    d = h.data
    if not h.claim(d["firing"]):
        return
    kiln = kiln_of(h, d["kiln"])
    if kiln.holds is not None:
        h.trouble("kiln_full", {"kiln": kiln.id, "firing": kiln.holds})
        _must_be_out(h, h.state.firings[kiln.holds], d["started"])
    firing = FiringState(d["firing"], d["kiln"], d["program"], d["stage"], (d["started"], d["ended"]))
    for piece in d["pieces"]:
        ware = h.ware(piece["batch"], LEATHER if d["stage"] == "bisque" else GLAZED)
        if ware is not None:
            _put_in(h, ware, h.up_to(ware, piece["count"]), firing)
    h.state.firings[firing.id] = firing
    kiln.holds = firing.id


def _put_in(h: Happening, ware: Ware, count: int, firing: FiringState) -> None:
    part = h.split(ware, part_name(firing.id, ware.id), count)
    part.stage, part.kiln, part.kiln_stage, part.firing = KILN, firing.kiln, firing.stage, firing.id
    firing.pieces[part.id] = part.count


def contents(h: Happening, firing: FiringState) -> list[Ware]:
    """The ware that is in the kiln with ``firing``."""
    found = (h.state.ware.get(i) for i in firing.pieces)
    return [w for w in found if w is not None and w.stage == KILN and w.firing == firing.id]


def _must_be_out(h: Happening, firing: FiringState, at: int) -> None:
    """What was in the kiln was drawn by ``at`` without a word, or taken out again if it was never lit."""
    firing.implied, firing.drawn = True, at
    for ware in contents(h, firing):
        _out(ware, firing, at, fired=firing.lit is not None)


def _out(ware: Ware, firing: FiringState, at: int, fired: bool) -> None:
    bisque = firing.stage == "bisque"
    ware.kiln = ware.kiln_stage = None
    if not fired:
        ware.stage, ware.firing = (LEATHER if bisque else GLAZED), None
        return
    ware.stage, ware.at = (BISQUED if bisque else FIRED), at


def _firing(h: Happening) -> FiringState | None:
    firing = h.state.firings.get(h.data["firing"])
    if firing is None:
        h.trouble("no_such_firing", {"firing": h.data["firing"]})
    return firing


def lit(h: Happening) -> None:
    firing = _firing(h)
    if firing is None:
        return
    if firing.drawn is not None:
        h.trouble("lit_after_drawing", {"firing": firing.id, "kiln": firing.kiln})
        return
    firing.lit = h.data.get("at", h.fact.happened)


def fired(h: Happening) -> None:
    """What somebody read off a firing, while it went on or afterwards; a later word on the same thing counts."""
    firing = _firing(h)
    if firing is None:
        return
    d = h.data
    firing.off, firing.top = d.get("off", firing.off), d.get("top_tenths_c", firing.top)
    firing.meter_before = d.get("meter_before", firing.meter_before)
    firing.meter_after = d.get("meter_after", firing.meter_after)
    firing.used = d.get("tenths_kwh", firing.used)
    if "cone" in d:
        firing.cone = (d["cone"], d["bend"])
    if "read_tenths_c" in d:
        firing.reads = [*firing.reads, (h.fact.happened, d["read_tenths_c"])][-READS_KEPT:]


def drawn(h: Happening) -> None:
    """The ware comes out. Who draws a kiln has fired it: one that was never said to be lit counts as fired."""
    firing = _firing(h)
    if firing is None:
        return
    d = h.data
    if firing.implied:
        inside = [w for i in firing.pieces if (w := h.state.ware.get(i)) is not None and w.firing == firing.id]
    else:
        inside = contents(h, firing)
        if firing.lit is None:
            h.trouble("drawn_unlit", {"firing": firing.id, "kiln": firing.kiln})
            firing.lit, firing.lit_guessed = firing.packed[1], True
    for row in d["lost"]:
        ware = next((w for w in inside if w.id == row["batch"]), None)
        if ware is None or ware.count == 0:
            h.trouble("not_in_this_kiln", {"ware": row["batch"], "firing": firing.id})
        else:
            drop(h, ware, h.up_to(ware, row["count"]))
    for ware in inside:
        if ware.stage == KILN:
            _out(ware, firing, d["ended"], fired=True)
            if ware.stage == FIRED:
                life = forms.life_of(h, ware.form)
                life.fired = d["ended"] if life.fired is None else life.fired
    if not firing.implied:
        kiln_of(h, firing.kiln).holds = None
    firing.drawn, firing.implied = d["ended"], False


def kiln_out(h: Happening) -> None:
    kiln = kiln_of(h, h.data["kiln"])
    kiln.out_since, kiln.out_until = h.fact.happened, h.data["until"]


def kiln_back(h: Happening) -> None:
    kiln = kiln_of(h, h.data["kiln"])
    kiln.out_since = kiln.out_until = None
