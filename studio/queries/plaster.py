"""A mix of plaster for moulds: what an address asks, and plaster, water, buckets and weights to expect."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi
from typing import Any
from urllib.parse import urlencode

from django.utils.translation import gettext_lazy

from planner.craft import plaster as craft
from planner.craft.ranges import OutOfRange
from studio.models import MouldMix
from studio.queries.asking import Asked, in_words
from studio.words import Text

ROUND, BOX, VOLUME = "round", "box", "volume"
WAYS: dict[str, Text] = {
    ROUND: gettext_lazy("round frame"), BOX: gettext_lazy("box of boards"), VOLUME: gettext_lazy("any volume"),
}  # fmt: skip
# The share of a cylinder around it that a solid fills: half an ellipsoid 2/3, a cone 1/3 (Archimedes; Euclid XII.10).
SHAPES: dict[str, tuple[Text, float]] = {
    "dome": (gettext_lazy("a bowl or dome"), 2 / 3), "straight": (gettext_lazy("straight, like a mug"), 1.0),
    "cone": (gettext_lazy("pointed, like a cone"), 1 / 3),
}  # fmt: skip
BUCKET_L, MOST_MOULDS = 10, 20
HEAVY_G = 16_000  # above it two people lift: HSE guidance L23, from memory


@dataclass(frozen=True)
class Bucketful:
    """``times`` mixes alike, each for so many whole moulds, 0 where a mould takes several."""

    times: int
    moulds: int
    plaster_g: float
    water_g: float
    litres: float


@dataclass(frozen=True)
class PlasterMix:
    """The answer: litres and grams for one mould and for all; ``free_pct`` is of the dry weight."""

    litres: float
    moulds: int
    buckets: tuple[Bucketful, ...]
    plaster_g: float
    water_g: float
    waste_l: float
    lifted_g: float
    dry_g: float
    free_g: float
    free_pct: int

    @property
    def mixes(self) -> int:
        return sum(b.times for b in self.buckets)

    @property
    def each(self) -> int:
        """Mixes for one mould, where it takes several."""
        return self.mixes // self.moulds

    @property
    def heavy(self) -> bool:
        return self.lifted_g > HEAVY_G

    @property
    def split(self) -> bool:
        """Whether one mould takes more than one bucketful."""
        return any(b.moulds == 0 for b in self.buckets)


@dataclass(frozen=True)
class PlasterAsked:
    """The way it was asked, what stands in the fields, what is wrong, and the answer where there is one."""

    way: str
    values: dict[str, Any]
    errors: dict[str, str]
    refusal: str
    mix: PlasterMix | None

    @property
    def keep(self) -> dict[str, Any]:
        """What is sent to keep this mix for a form."""
        if self.mix is None:
            return {}
        own = {"ml": round(1000 * self.mix.litres), "consistency_tenths": round(10 * float(self.values["consistency"])),
               "waste_pct": round(float(self.values["waste_pct"])),
               "bucket_ml": round(1000 * float(self.values["bucket_l"]))}  # fmt: skip
        asked = {k: v for k, v in self.values.items() if k not in ("consistency", "waste_pct", "bucket_l", "count")}
        return own | {"way": self.way} | {k: v for k, v in asked.items() if v != ""}


def plaster_asked(given: Mapping[str, str]) -> PlasterAsked:
    """What an address asks, answered; without figures the form as it begins."""
    asked = Asked(given)
    way = asked.text("way", tuple(WAYS))
    begun = any(k.startswith(("frame_", "length_", "width_", "model_", "mould_")) for k in given)
    figures = _figures(asked, way, begun)
    if not begun or asked.errors:
        return PlasterAsked(way, asked.values, asked.errors, "", None)
    try:
        return PlasterAsked(way, asked.values, {}, "", _mix(way, figures))
    except OutOfRange as fault:
        return PlasterAsked(way, asked.values, {}, in_words(fault), None)


@dataclass(frozen=True)
class _Figures:
    sizes: dict[str, float]
    model_l: float | None
    fills: float
    consistency: float
    waste: float
    count: int
    bucket_l: float


def _figures(asked: Asked, way: str, begun: bool) -> _Figures:
    needed = {
        ROUND: ("frame_mm", "model_mm", "height_mm"), BOX: ("length_mm", "width_mm", "model_mm", "height_mm"),
        VOLUME: ("mould_l",),
    }[way]  # fmt: skip
    sizes = {name: asked.number(name, must=begun) or 0.0 for name in needed}
    sizes["over_mm"] = asked.number("over_mm", craft.OVER_MODEL_MM) or 0.0
    fills = SHAPES[asked.text("shape", tuple(SHAPES))][1]
    model_l = None if way == VOLUME else asked.number("model_l")
    return _Figures(
        sizes, model_l, fills, asked.number("consistency", craft.MOULD_CONSISTENCY) or 0.0,
        (asked.number("waste_pct", 100 * craft.WASTE) or 0.0) / 100,
        asked.whole("count", 1, MOST_MOULDS, 1), asked.number("bucket_l", BUCKET_L) or 0.0,
    )  # fmt: skip


def _litres(way: str, f: _Figures) -> float:
    if way == VOLUME:
        return f.sizes["mould_l"]
    wide, high = f.sizes["model_mm"], f.sizes["height_mm"]
    frame = (
        craft.RoundFrame(f.sizes["frame_mm"])
        if way == ROUND
        else craft.BoxFrame(f.sizes["length_mm"], f.sizes["width_mm"])
    )
    inside = f.fills * pi / 4 * wide**2 * high / 1e6 if f.model_l is None else f.model_l
    return craft.mould_litres(frame, craft.Model(wide, high, inside), f.sizes["over_mm"])


def _mix(way: str, f: _Figures) -> PlasterMix:
    litres = _litres(way, f)
    cast = craft.expected_cast(litres, f.consistency)
    buckets = _buckets(litres, f)
    return PlasterMix(
        litres, f.count, buckets, sum(b.times * b.plaster_g for b in buckets),
        sum(b.times * b.water_g for b in buckets),
        litres * f.count * f.waste, cast.lifted_g, cast.dry_g, cast.free_g, round(100 * cast.free_share),
    )  # fmt: skip


def _buckets(litres: float, f: _Figures) -> tuple[Bucketful, ...]:
    """Mixes of whole moulds, as even as they go; a mould that is more than a bucketful has several of its own."""
    per_mould, one = craft.mixes_for(litres, f.bucket_l, f.consistency, waste=f.waste)
    if per_mould > 1:
        return (Bucketful(per_mould * f.count, 0, one.plaster_g, one.water_g, one.litres),)
    holds = max(1, int(craft.BUCKET_FILL * f.bucket_l / one.litres + 1e-9))
    mixes = -(-f.count // holds)
    least, more = divmod(f.count, mixes)
    sizes = ((more, least + 1), (mixes - more, least))
    return tuple(Bucketful(times, n, n * one.plaster_g, n * one.water_g, n * one.litres) for times, n in sizes if times)


def mix_kept(mix: MouldMix, count: int = 1) -> PlasterMix | None:
    """The mix for ``count`` moulds by what was kept of their form; None where it cannot be reckoned."""
    figures = _Figures(
        {"mould_l": mix.ml / 1000}, None, 1.0, mix.consistency_tenths / 10, mix.waste_pct / 100, count,
        mix.bucket_ml / 1000,
    )  # fmt: skip
    try:
        return _mix(VOLUME, figures)
    except OutOfRange:
        return None


def address_of(mix: MouldMix) -> str:
    """The figures that a kept mix comes from, as the address of the page asks them."""
    asked = mix.asked or {"way": VOLUME, "mould_l": f"{mix.ml / 1000:g}"}
    own = {"consistency": f"{mix.consistency_tenths / 10:g}", "waste_pct": mix.waste_pct,
           "bucket_l": f"{mix.bucket_ml / 1000:g}"}  # fmt: skip
    return urlencode({**asked, **own})


def plaster_of(mix: MouldMix) -> int | None:
    """Grams of plaster for one mould with its waste; None where the figures are outside what can be reckoned."""
    try:
        times, one = craft.mixes_for(
            mix.ml / 1000, mix.bucket_ml / 1000, mix.consistency_tenths / 10, waste=mix.waste_pct / 100
        )
    except OutOfRange:
        return None
    return round(times * one.plaster_g)
