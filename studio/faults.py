"""Faults by where they are seen, each with its usual cause: common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from studio.words import Text


@dataclass(frozen=True)
class Fault:
    """``key`` goes on record; ``cause`` is the usual one, not a finding."""

    key: str
    name: Text
    cause: Text


OUT = (
    Fault("stuck", _("stuck, torn coming out"), _("mould damp or new, too dry at the rim, soft clay")),
    Fault("torn rim", _("torn or ragged rim"), _("spare left to build up and drag; tool lifted late")),
    Fault("fold lines", _("fold lines on the mould side"), _("ball not smoothed, not thrown in hard enough")),
    Fault("unfilled foot", _("unfilled foot"), _("ball too light or too stiff, not driven into the foot")),
    Fault("drag inside", _("drag or smear inside"), _("tool too dry, clay stiff, no light finishing pass")),
    Fault("pits", _("pits or pimples"), _("suds or air in the mould’s face, crumbs of plaster")),
    Fault("uneven", _("thick on one side"), _("mould not seated: grit, worn cup head, bent arm")),
    Fault("thickness", _("all too thick or thin"), _("stop moved, tool worn or flexing")),
)
LEATHER = (
    Fault("rim crack", _("rim crack"), _("edge not freed, or dried too fast")),
    Fault("base crack", _("base or S crack"), _("uneven drying, too fast")),
    Fault("handle crack", _("handle crack"), _("joined at different dampness")),
    Fault("warped", _("warped"), _("taken out soft, or dried unevenly")),
    Fault("dropped", _("dropped or knocked"), ""),
)
BISQUE = (
    Fault("blown", _("blown"), _("not dry, or fired too fast")),
    Fault("cracked", _("cracked or dunted"), _("fired too fast, or opened hot")),
    Fault("pop-outs", _("pop-outs, days later"), _("plaster in the clay")),
    Fault("dropped", _("dropped or knocked"), ""),
)
GLOST = (
    Fault("crawling", _("crawling"), _("dust, or glaze too thick")),
    Fault("pinholes", _("pinholes"), _("glaze or firing too quick")),
    Fault("crazing", _("crazing"), _("the glaze’s fit")),
    Fault("run", _("run or stuck to the shelf"), _("glaze too thick, or over-fired")),
    Fault("plucked", _("plucked, grit"), _("foot not wiped, dirty shelf")),
    Fault("misfired", _("under- or over-fired"), _("its place in the kiln, or the firing")),
    Fault("dropped", _("dropped or knocked"), ""),
)
# On a test tile: what it tells before any ware is glazed.
TILE = (
    Fault("crazing", _("crazing"), _("the glaze shrinks more than the body: its fit")),
    Fault("shivering", _("shivering, flakes off at edges"), _("the glaze shrinks less than the body: its fit")),
    Fault("crawling", _("crawling"), _("dust, or glaze too thick")),
    Fault("pinholes", _("pinholes"), _("glaze or firing too quick")),
    Fault("blisters", _("blisters"), _("over-fired, or too thick")),
    Fault("run", _("it ran"), _("glaze too thick, or over-fired")),
    Fault("dry", _("dry, rough, not melted"), _("under-fired, or too thin")),
    Fault("thin", _("too thin"), _("the bucket too thin, dipped too short")),
    Fault("thick", _("too thick"), _("the bucket too thick, dipped too long")),
    Fault("colour", _("another colour than wanted"), _("the recipe, its thickness, or the firing")),
)
BY_STAGE = {"in_mould": OUT, "leather": LEATHER, "kiln": BISQUE, "bisqued": BISQUE, "glazed": GLOST, "fired": GLOST}


def faults_at(stage: str) -> tuple[Fault, ...]:
    """The faults seen on ware at a stage of the record."""
    return BY_STAGE.get(stage, GLOST)


def cause_of(key: str) -> Text:
    """The usual cause of a fault on record, or nothing."""
    known = {f.key: f.cause for faults in BY_STAGE.values() for f in faults}
    return known.get(key, "")


def name_of(key: str) -> Text:
    """How a fault on record is said; what somebody wrote stands as it is."""
    known = {f.key: f.name for faults in BY_STAGE.values() for f in faults}
    return known.get(key, key)


def tile_name(key: str) -> Text:
    """How a word on a test tile is said."""
    return next((f.name for f in TILE if f.key == key), key)
