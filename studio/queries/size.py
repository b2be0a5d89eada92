"""From a wanted fired size to the model and back, by a shrinkage whose basis is told; and the shrinkage of a bar."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from planner.craft import shrinkage as craft
from planner.craft.ranges import OutOfRange
from studio.queries.asking import Asked, in_words
from studio.words import Text

MODEL, FIRED, BAR = "model", "fired", "bar"
WAYS: dict[str, Text] = {
    MODEL: gettext_lazy("size of the model"), FIRED: gettext_lazy("size when fired"), BAR: gettext_lazy("from a bar"),
}  # fmt: skip
BASES: dict[str, Text] = {
    "dry": gettext_lazy("the dry length"), "wet": gettext_lazy("the wet length"),
    "fired": gettext_lazy("the fired length"),
}  # fmt: skip
_SHARES = re.compile(r"from (\S+) to (\S+), not (-?\d+(?:\.\d+)?(?:e-?\d+)?)")


@dataclass(frozen=True)
class Sizes:
    """The same length through all its states, in mm; ``grown`` if the mould is larger than the model."""

    model_mm: float
    wet_mm: float
    dry_mm: float
    bisque_mm: float
    fired_mm: float
    grown: bool


@dataclass(frozen=True)
class Shares:
    """A body's shrinkage in per cent: drying and whole of the wet length, firing on each basis."""

    drying: float
    total: float
    firing_dry: float
    firing_wet: float
    firing_fired: float

    @property
    def link(self) -> str:
        """What an address says to reckon with it."""
        return f"drying_pct={self.drying:.2f}&firing_pct={self.firing_dry:.2f}&basis=dry"


@dataclass(frozen=True)
class SizeAsked:
    """What was asked, what is wrong with it, and the answer where there is one."""

    way: str
    values: dict[str, Any]
    errors: dict[str, str]
    refusal: str = ""
    sizes: Sizes | None = None
    shares: Shares | None = None


def size_asked(given: Mapping[str, str], usual: craft.Shrinkage) -> SizeAsked:
    """What an address asks, answered; without figures the form as it begins, with the ``usual`` shrinkage."""
    asked = Asked(given)
    way = asked.text("way", tuple(WAYS))
    try:
        return _bar(asked, given) if way == BAR else _sizes(asked, way, given, usual)
    except OutOfRange as fault:
        return SizeAsked(way, asked.values, {}, _percent(in_words(fault)))


def _bar(asked: Asked, given: Mapping[str, str]) -> SizeAsked:
    begun = any(k.startswith(("dry_mm", "fired_mm")) for k in given)
    wet = asked.number("wet_mm", 100)
    dry, fired = asked.number("dry_mm", must=begun), asked.number("fired_mm", must=begun)
    if not begun or asked.errors or wet is None or dry is None or fired is None:
        return SizeAsked(BAR, asked.values, asked.errors)
    body = craft.Shrinkage(craft.drying_shrinkage(wet, dry), craft.firing_shrinkage(dry, fired))
    return SizeAsked(BAR, asked.values, {}, shares=_shares(body))


def _sizes(asked: Asked, way: str, given: Mapping[str, str], usual: craft.Shrinkage) -> SizeAsked:
    begun = any(k.startswith("size_mm") for k in given)
    size = asked.number("size_mm", must=begun)
    if size is not None and not size >= 1:
        asked.errors["size_mm"] = _("Enter a size that can be measured.")
    body = _body(asked, usual)
    grows = asked.between("expansion_pct", 0, 1, 0)
    if not begun or asked.errors or size is None or body is None or grows is None:
        return SizeAsked(way, asked.values, asked.errors if begun else {})
    grown = grows / 100
    fired = size if way == MODEL else craft.fired_mm(size * (1 + grown), body)
    wet = craft.wet_mm(fired, body)
    sizes = Sizes(
        craft.model_mm(fired, body, grown), wet, craft.dry_mm(wet, body), craft.bisque_mm(fired, body), fired, grown > 0
    )
    return SizeAsked(way, asked.values, {}, sizes=sizes, shares=_shares(body))


def _body(asked: Asked, usual: craft.Shrinkage) -> craft.Shrinkage | None:
    """The shrinkage as it was told: in all, of the wet length; or, where a firing share is told, the two apart."""
    drying = asked.between("drying_pct", 0, 20, round(100 * usual.drying, 3))
    total = asked.between("total_pct", 0, 40, round(100 * usual.total, 3))
    firing = asked.between("firing_pct", 0, 30)
    basis = craft.Basis(asked.text("basis", tuple(BASES)))
    if asked.errors or drying is None or total is None:
        return None
    if firing is not None:
        return craft.Shrinkage(drying / 100, firing / 100, basis)
    if drying > total:
        asked.errors["drying_pct"] = _("Not more than it shrinks in all.")
        return None
    return craft.Shrinkage.of_total(total / 100, drying / 100)


def _shares(body: craft.Shrinkage) -> Shares:
    dry = body.firing_of_dry
    return Shares(100 * body.drying, 100 * body.total, 100 * dry, 100 * dry * (1 - body.drying), 100 * dry / (1 - dry))


def _percent(text: str) -> str:
    """Bounds that the reckoning tells as shares, in per cent as they were entered; lengths stay."""
    return _SHARES.sub(lambda m: f"from {_pct(m[1])} to {_pct(m[2])} %, not {_pct(m[3])} %", text)


def _pct(share: str) -> str:
    return f"{float(share) * 100:.3g}"
