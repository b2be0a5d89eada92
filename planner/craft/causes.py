"""Faults by where they are seen and what usually causes them. Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from planner.craft.blame import Link


class Seen(StrEnum):
    """Where a fault is seen."""

    TAKING_OUT = "taking out"
    GREEN = "leather-hard or dry"
    BISQUE = "bisque"
    GLOST = "glost"


@dataclass(frozen=True, slots=True)
class Fault:
    """A fault, its usual cause, and the links to look at first."""

    key: str
    seen: Seen
    name: str
    cause: str
    look_at: tuple[Link, ...] = ()


_MOULD, _TOOL, _CLAY = Link.MOULD, Link.TOOL, Link.CLAY
_GLAZE, _FIRING, _SHELF = Link.GLAZE, Link.FIRING, Link.SHELF
_OUT, _GREEN, _BISQUE, _GLOST = Seen.TAKING_OUT, Seen.GREEN, Seen.BISQUE, Seen.GLOST

FAULTS: dict[str, Fault] = {
    f.key: f
    for f in (
        Fault("folds", _OUT, "fold lines on the mould side", "ball not smoothed, or thrown in too gently", (_CLAY,)),
        Fault("foot", _OUT, "unfilled foot", "ball too light, too stiff, or not driven into the foot", (_TOOL, _CLAY)),
        Fault("rim", _OUT, "torn or ragged rim", "spare left to build up and drag, or tool lifted late", (_TOOL,)),
        Fault("drag", _OUT, "drag or smear inside", "tool dry, clay stiff, or no light finishing pass", (_TOOL, _CLAY)),
        Fault("stuck", _OUT, "stuck, tears coming out",
              "mould damp or new with soap left, too dry at the rim, or clay too soft", (_MOULD, _CLAY)),
        Fault("pits", _OUT, "pits or pimples", "suds or air in the mould face, or crumbs of plaster", (_MOULD,)),
        Fault("one_side", _OUT, "thick one side",
              "mould not seated because of grit, a worn cup head or a bent arm", (_MOULD, _TOOL)),
        Fault("section", _OUT, "all too thick or thin", "stop moved, or tool worn or flexing", (_TOOL,)),
        Fault("rim_crack", _GREEN, "rim crack", "edge not freed, uneven drying, or dried too fast", (_MOULD, _CLAY)),
        Fault("base_crack", _GREEN, "base or S crack", "dried unevenly or fast, or not pressed firm", (_CLAY, _TOOL)),
        Fault("handle_crack", _GREEN, "handle crack", "joined at different dampness, or dried too fast", (_CLAY,)),
        Fault("warp", _GREEN, "warp", "taken out soft, or uneven drying", (_MOULD, _CLAY)),
        Fault("blown", _BISQUE, "blown", "not dry, or fired too fast at the start", (_FIRING,)),
        Fault("cracked", _BISQUE, "cracked", "fired too fast, or a drying crack that opened", (_FIRING, _SHELF)),
        Fault("dunted", _BISQUE, "dunted", "opened hot, or cooled too fast", (_FIRING, _SHELF)),
        Fault("pop_outs", _BISQUE, "pop-outs, also days later", "plaster in the clay", (_CLAY, _MOULD)),
        Fault("crawling", _GLOST, "crawling", "dust or grease on the bisque, or glaze too thick", (_GLAZE,)),
        Fault("pinholes", _GLOST, "pinholes", "bisque too low, glaze too thick, or fired too fast", (_GLAZE, _FIRING)),
        Fault("crazing", _GLOST, "crazing", "glaze does not fit the body, or underfired", (_GLAZE, _CLAY)),
        Fault("thin_thick", _GLOST, "too thin or thick", "density of the glaze, or time in the glaze", (_GLAZE,)),
        Fault("run", _GLOST, "run", "glaze too thick, or place in the kiln too hot", (_GLAZE, _SHELF, _FIRING)),
        Fault("fused", _GLOST, "stuck to the shelf", "foot not wiped, glaze ran, shelf without wash", (_SHELF, _GLAZE)),
        Fault("bloated", _GLOST, "bloated", "overfired, or bisque too fast or too low", (_FIRING, _CLAY)),
        Fault("plucked", _GLOST, "plucked", "foot sat in dirty or worn shelf wash", (_SHELF,)),
        Fault("grit", _GLOST, "grit", "crumbs from a shelf or prop above, or dust", (_SHELF,)),
        Fault("under_over", _GLOST, "under- or overfired", "place in the kiln, or the whole firing", (_SHELF, _FIRING)),
    )
}  # fmt: skip

LINK_CAUSES: dict[Link, str] = {
    Link.MOULD: "weigh this mould and look at its face: damp, soap, grit or a worn place",
    Link.TOOL: "check stop and tool against the setting that won",
    Link.CLAY: "feel how stiff this clay is, and look for plaster or dried scraps in it",
    Link.GLAZE: "weigh a litre of this glaze, and sieve it",
    Link.FIRING: "compare this firing's times and cones with a good one",
    Link.SHELF: "look at this place in the kiln: cones there, the wash, what stands above",
}


def likely_cause(fault_key: str, link: Link | None = None) -> str:
    """The usual cause of a fault, and what to look at where a link is the repeat offender. Unknown faults give ""."""
    fault = FAULTS.get(fault_key)
    words = [fault.cause] if fault else []
    if link is not None:
        words.append(LINK_CAUSES[link])
    return "; ".join(words)
