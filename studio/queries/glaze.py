"""A glaze as the studio knows it: its batches, test tiles, grams on a piece, and what is on file for food."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils import formats
from django.utils.translation import gettext as _

from planner.craft import glaze as craft
from planner.craft.ranges import OutOfRange
from studio.faults import fault_of, name_of
from studio.models import Form, Glaze, Kiln, Program, Studio
from studio.queries.asking import Asked
from studio.queries.buckets import Bucket, buckets_of
from studio.queries.cards import local
from studio.queries.choices import Choices
from studio.queries.food import FOOD
from studio.queries.glaze_grams import Grams, rests_on
from studio.queries.record import settled_of
from studio.queries.state import state_of
from studio.record.facts import Fact
from studio.record.glazes import Food, food_of
from studio.record.state import FoodResult, State
from studio.words import Text

TILES_SHOWN, FIRINGS_SHOWN = 8, 6


@dataclass(frozen=True)
class Tile:
    """A test tile: ``seen`` in words, each with its usual cause; ``fired`` the firing, "" if nobody said it."""

    fact: str
    at: datetime
    good: bool
    seen: tuple[tuple[Text, Text], ...]
    note: str
    fired: str
    recipe: str


@dataclass(frozen=True)
class OnForm:
    """Dry glaze on a piece of a form, in g, and what that rests on."""

    form: Form
    dry_g: float
    rests: str


@dataclass(frozen=True)
class Report:
    """A laboratory's result; ``holds`` for the batch in use."""

    on: date
    result: FoodResult
    holds: bool


@dataclass(frozen=True)
class Thinning:
    """What brings the bucket to a wanted density: litres of water to add, or to take off, or dry glaze to stir in."""

    wanted: float  # g in 100 ml
    add_l: float = 0.0
    take_l: float = 0.0
    dry_g: float = 0.0


@dataclass(frozen=True)
class GlazeView:
    """All of the page. ``asked`` is what the address asks of the bucket in use."""

    row: Glaze
    food: Food
    food_said: Text
    buckets: tuple[Bucket, ...]
    tiles: tuple[Tile, ...]
    forms: tuple[OnForm, ...]
    reports: tuple[Report, ...]
    firings: Choices
    asked: Asked
    thinning: Thinning | None

    @property
    def now(self) -> Bucket | None:
        """The batch in use."""
        return next((b for b in self.buckets if b.in_use), None)

    @property
    def others(self) -> tuple[Bucket, ...]:
        return tuple(b for b in self.buckets if not b.in_use and b.used_up is None)

    @property
    def gone(self) -> tuple[Bucket, ...]:
        return tuple(b for b in self.buckets if b.used_up is not None)


def glaze_of(studio: Studio, row: Glaze, given: Mapping[str, str]) -> GlazeView:
    """The page of a glaze; ``given`` may ask for a density by ``to``, the weight of 100 ml in g."""
    state, grams, glaze = state_of(studio), Grams(studio), row.public_id
    buckets = buckets_of(state, grams, glaze)
    forms = Form.objects.filter(studio=studio, retired_at=None).order_by("name")
    asked, now = Asked(given), next((b for b in buckets if b.in_use), None)
    on_file = food_of(state, glaze)
    reports = [Report(date.fromisoformat(r.on), r, r == on_file.result and on_file.word in (Food.WITHIN, Food.OVER))
               for r in state.food.get(glaze, ())]  # fmt: skip
    return GlazeView(
        row, on_file.word, FOOD[on_file.word], buckets, _tiles(studio, state, glaze),
        tuple(OnForm(f, (g := grams.of(f.public_id, glaze)).dry_g, rests_on(g)) for f in forms),
        tuple(sorted(reports, key=lambda r: r.on, reverse=True)), _firings(studio, state), asked,
        _thinning(asked, now),
    )  # fmt: skip


def _thinning(asked: Asked, now: Bucket | None) -> Thinning | None:
    wanted = asked.between("to", 101, 200)
    if wanted is None or now is None or not now.was_weighed or now.left_l < 0.1:
        return None
    try:
        if wanted * 10 <= now.g_l:
            return Thinning(wanted, add_l=craft.water_to_add_l(now.left_l, now.g_l, wanted * 10))
        take = craft.water_to_take_l(now.left_l, now.g_l, wanted * 10)
        return Thinning(wanted, take_l=take, dry_g=craft.dry_to_add_g(now.left_l, now.g_l, wanted * 10))
    except OutOfRange:  # more in the bucket than any bucket holds
        return None


def _firings(studio: Studio, state: State) -> Choices:
    """The last glost firings drawn, then the glosts by name: what a tile may have been in."""
    kilns = dict(Kiln.objects.filter(studio=studio).values_list("public_id", "name"))
    drawn = [f for f in state.firings.values() if f.stage == "glost" and f.drawn is not None]
    drawn.sort(key=lambda f: f.drawn or 0, reverse=True)
    last = [(f.id, _drawn(kilns.get(f.kiln, ""), f.drawn or 0)) for f in drawn[:FIRINGS_SHOWN]]
    programs = Program.objects.filter(studio=studio, stage="glost", retired_at=None).order_by("name")
    return [*last, *((p.public_id, p.name) for p in programs)]


def _drawn(kiln: str, at: int) -> str:
    return _("%(kiln)s, drawn %(day)s") % {"kiln": kiln, "day": formats.date_format(local(at), "D j M")}


def _tiles(studio: Studio, state: State, glaze: str) -> tuple[Tile, ...]:
    facts = settled_of(studio, "test_tile", data__glaze=glaze)[::-1]
    programs = dict(Program.objects.filter(studio=studio).values_list("public_id", "name")) if facts else {}
    return tuple(_tile(f, state, programs) for f in facts[:TILES_SHOWN])


def _tile(f: Fact, state: State, programs: dict[str, str]) -> Tile:
    d: dict[str, Any] = f.data
    seen = tuple((name_of(w), fault_of(w).cause) for w in d["seen"])
    batch = state.glaze_batches.get(d["glaze_batch"] or "")
    return Tile(f.id, local(f.happened), d["verdict"] == "good", seen, d.get("note", ""),
                programs.get(d["program"] or "", ""), batch.recipe if batch else "")  # fmt: skip
