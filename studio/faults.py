"""Faults by where they are seen, each with its usual cause and what to look at first: common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from planner.craft.blame import Link
from studio.record.followed import BISQUE, GLOST, GREEN, OUT, WHERE
from studio.record.state import KILN
from studio.words import Text

MOULD, TOOL, CLAY = Link.MOULD, Link.TOOL, Link.CLAY
GLAZE, FIRING, SHELF = Link.GLAZE, Link.FIRING, Link.SHELF


@dataclass(frozen=True)
class Fault:
    """``key`` goes on record; ``cause`` is the usual one, not a finding, and ``look_at`` what it may lie with.

    ``tile``: a test tile can show it, before any ware is glazed.
    """

    key: str
    seen: tuple[str, ...]
    name: Text
    cause: Text
    look_at: tuple[Link, ...] = ()
    tile: bool = False

    def lies_with(self, link: Link) -> bool:
        """Whether it usually comes from there."""
        return link in self.look_at or WIDER.get(link) in self.look_at


FAULTS = (
    Fault("stuck", (OUT,), _("stuck, torn coming out"),
          _("mould damp, or new with soap left; too dry at the rim; clay too soft"), (MOULD, CLAY)),
    Fault("torn rim", (OUT,), _("torn or ragged rim"), _("spare left to build up and drag; tool lifted late"), (TOOL,)),
    Fault("fold lines", (OUT,), _("fold lines on the mould side"), _("ball not smoothed, not thrown in hard enough"),
          (CLAY,)),
    Fault("unfilled foot", (OUT,), _("unfilled foot"), _("ball too light or too stiff, not driven into the foot"),
          (TOOL, CLAY)),
    Fault("drag inside", (OUT,), _("drag or smear inside"), _("tool too dry, clay stiff, no light finishing pass"),
          (TOOL, CLAY)),
    Fault("pits", (OUT,), _("pits or pimples"), _("suds or air in the mould’s face, crumbs of plaster"), (MOULD,)),
    Fault("uneven", (OUT,), _("thick on one side"), _("mould not seated: grit, worn cup head, bent arm"),
          (MOULD, TOOL)),
    Fault("thickness", (OUT,), _("all too thick or thin"), _("stop moved, tool worn or flexing"), (TOOL,)),
    Fault("rim crack", (GREEN,), _("rim crack"), _("edge not freed, dried unevenly or too fast"), (MOULD, CLAY)),
    Fault("base crack", (GREEN,), _("base or S crack"), _("dried unevenly or too fast, not pressed firm"),
          (CLAY, TOOL)),
    Fault("handle crack", (GREEN,), _("handle crack"), _("joined at different dampness, or dried too fast"), (CLAY,)),
    Fault("warped", (GREEN, BISQUE), _("warped"), _("taken out soft, or dried unevenly"), (MOULD, CLAY)),
    Fault("blown", (BISQUE,), _("blown"), _("not dry, or fired too fast at the start"), (FIRING,)),
    Fault("cracked", (BISQUE,), _("cracked"), _("fired too fast, or a drying crack that opened"), (FIRING, SHELF)),
    Fault("dunted", (BISQUE, GLOST), _("dunted, a clean crack through"), _("opened hot, or cooled too fast"),
          (FIRING, SHELF)),
    Fault("pop-outs", (BISQUE, GLOST), _("pop-outs, also days later"), _("plaster in the clay"), (CLAY, MOULD)),
    Fault("crawling", (GLOST,), _("crawling"), _("dust or grease on the bisque, or glaze too thick"),
          (GLAZE,), True),
    Fault("pinholes", (GLOST,), _("pinholes"), _("bisque too low, glaze too thick, or fired too quick"),
          (GLAZE, FIRING), True),
    Fault("crazing", (GLOST,), _("crazing"), _("the glaze shrinks more than the body, or under-fired"),
          (GLAZE, CLAY), True),
    Fault("shivering", (GLOST,), _("shivering, flakes off at edges"),
          _("the glaze shrinks less than the body: its fit"), (GLAZE, CLAY), True),
    Fault("blisters", (GLOST,), _("blisters"), _("over-fired, or glaze too thick"), (GLAZE, FIRING), True),
    Fault("thin", (GLOST,), _("glaze too thin"), _("the bucket too thin, dipped too short"), (GLAZE,), True),
    Fault("thick", (GLOST,), _("glaze too thick"), _("the bucket too thick, dipped too long"), (GLAZE,), True),
    Fault("run", (GLOST,), _("it ran"), _("glaze too thick, or its place in the kiln too hot"),
          (GLAZE, SHELF, FIRING), True),
    Fault("dry", (GLOST,), _("dry, rough, not melted"), _("under-fired, or glaze too thin"),
          (FIRING, GLAZE), True),
    Fault("colour", (GLOST,), _("another colour than wanted"), _("the recipe, its thickness, or the firing"),
          (GLAZE, FIRING), True),
    Fault("fused", (GLOST,), _("stuck to the shelf"), _("foot not wiped, glaze ran, shelf without wash"),
          (SHELF, GLAZE)),
    Fault("plucked", (GLOST,), _("plucked foot"), _("foot sat in dirty or worn shelf wash"), (SHELF,)),
    Fault("grit", (GLOST,), _("grit in the glaze"), _("crumbs from a shelf or prop above, or dust"), (SHELF,)),
    Fault("bloated", (GLOST,), _("bloated"), _("over-fired, or bisque too fast or too low"), (FIRING, CLAY)),
    Fault("misfired", (GLOST,), _("under- or over-fired"), _("its place in the kiln, or the firing"), (SHELF, FIRING)),
    Fault("spoiled", (OUT, GREEN), _("left too long"), _("nobody came while it was right")),
    Fault("dropped", (GREEN, BISQUE, GLOST), _("dropped or knocked"), ""),
)  # fmt: skip
TILE = tuple(f for f in FAULTS if f.tile)
WIDER = {Link.FORM: TOOL, Link.RECIPE: GLAZE}  # what a form is pressed with, what a glaze is dipped from
LOOK: dict[Link, Text] = {
    Link.FORM: _("look how this form is pressed: its tool, stop and ball"),
    MOULD: _("weigh this mould and look at its face: damp, soap, grit or a worn place"),
    TOOL: _("check stop, tool and ball against this setting, and against one that did better"),
    CLAY: _("feel how stiff this clay is, and look for plaster or dried scraps in it"),
    Link.RECIPE: _("fire a test tile of this glaze, and look at its fit, its recipe and how thick it goes on"),
    GLAZE: _("weigh a litre of this glaze, and sieve it"),
    FIRING: _("compare this firing’s times and cones with a good one"),
    SHELF: _("look at this place in the kiln: cones there, the wash, what stands above"),
}
_BY_KEY = {f.key: f for f in FAULTS}


def faults_at(stage: str, *, glost: bool = False) -> tuple[Fault, ...]:
    """The faults seen on ware at a stage of the record; ``glost``: of what is in a kiln, that it is a glost."""
    seen = GLOST if glost and stage == KILN else WHERE.get(stage, GLOST)
    return faults_seen(seen)


def faults_seen(seen: str) -> tuple[Fault, ...]:
    """The faults that show at a place (:mod:`studio.record.followed`)."""
    return tuple(f for f in FAULTS if seen in f.seen)


def fault_of(key: str) -> Fault:
    """The fault of a key on record; what somebody wrote stands as it is, without a cause."""
    return _BY_KEY.get(key) or Fault(key, (), key, "")


def name_of(key: str) -> Text:
    """How a fault on record is said, also a word on a test tile."""
    return fault_of(key).name
