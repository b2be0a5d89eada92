"""The kinds that a studio begins with, as wares."""

from __future__ import annotations

from planner.craft.ware import Making, Practice, Ware, ware_from_practice
from studio.defaults.table import KINDS


def practice(key: str) -> Practice:
    """The hours of a kind: common practice, no source."""
    kind = KINDS[key]
    return Practice(Making(kind.machine), kind.open_h, kind.covered_h, kind.leather_h, kind.wrapped_h, kind.dry_h[0])


WARES: dict[str, Ware] = {key: ware_from_practice(practice(key)) for key in KINDS}
