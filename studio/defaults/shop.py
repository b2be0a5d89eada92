"""Kilns, boards and moulds to start from. Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class ProgramDraft:
    """A firing in one kiln: minutes until its top is reached and held, minutes until it may be opened."""

    name: str | Promise
    stage: str
    fire_min: int
    cool_min: int
    kwh: int


@dataclass(frozen=True)
class KilnDraft:
    """A kiln of a usual size."""

    name: str | Promise
    shelf_kind: str
    stack_mm: int
    shelf_mm: int
    shelves: int
    load_min: int
    unload_min: int
    programs: tuple[ProgramDraft, ...]


@dataclass(frozen=True)
class CastDraft:
    """A working mould that is poured: minutes, and the pressings it stands."""

    pour_min: int
    lift_after: tuple[int, int]
    lift_min: int
    dry_min: int
    uses: int


def _programs(fire: int, cool: tuple[int, int], kwh: tuple[int, int]) -> tuple[ProgramDraft, ...]:
    return (
        ProgramDraft(_("Bisque 1000 °C"), "bisque", fire, cool[0], kwh[0]),
        ProgramDraft(_("Glost 1240 °C"), "glost", fire, cool[1], kwh[1]),
    )


KILNS: dict[str, KilnDraft] = {
    "large": KilnDraft(_("Large kiln"), "590", 690, 20, 9, 60, 40, _programs(600, (900, 1080), (65, 105))),
    "small": KilnDraft(_("Small kiln"), "430", 450, 20, 6, 35, 20, _programs(540, (600, 780), (28, 45))),
}
BOARDS = {"damp": 24, "drying": 60, "glazed": 36}  # ware boards of 1.2 by 0.3 m
MOST_RAMPS = 12  # steps of a firing, as many as a usual controller keeps
RECHECK_MIN = 5  # look at the stop and the tool at the day's first pressing
# Pour: soap, frame, mix, pour and frame off. A mould dries eight days and stands some 90 pressings.
CAST = CastDraft(pour_min=45, lift_after=(45, 240), lift_min=10, dry_min=8 * 1440, uses=90)
