"""Batches of glaze as they stand: what is left of each by its last weighing and what was glazed since."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from planner.craft.glaze import DRIPPED, dry_g_per_l, left_in, take
from studio import units
from studio.queries.cards import local
from studio.queries.glaze_grams import Grams
from studio.record.glazes import Food, batch_in_use, food_of_recipe
from studio.record.state import GlazeBatch, State

MOST_TAKEN_G = 1e7  # more than any bucket holds
USUAL_G_L = 1450  # where nobody weighed it: common practice, no source


@dataclass(frozen=True)
class Bucket:
    """A batch: litres and dry grams as weighed and, after what was glazed since, as reckoned now.

    ``hundred``: what 100 ml weighed, in g, "" if nobody weighed it; the dry glaze is then by a usual density.
    """

    id: str
    glaze: str
    mixed: datetime
    weighed: datetime
    recipe: str
    hundred: str
    g_l: int
    litres: float
    dry_g: float
    left_l: float
    left_g: float
    pieces: int
    in_use: bool
    used_up: datetime | None
    food: Food

    @property
    def was_weighed(self) -> bool:
        return bool(self.hundred)


def buckets_of(state: State, grams: Grams, glaze: str | None = None) -> tuple[Bucket, ...]:
    """All batches (of a glaze): the one in use first, then the others from the newest on, used up ones last."""
    found = [_bucket(b, state, grams) for b in state.glaze_batches.values() if glaze in (None, b.glaze)]
    found.sort(key=lambda b: (b.used_up is not None, not b.in_use, -b.mixed.timestamp(), b.id))
    return tuple(found)


def _bucket(b: GlazeBatch, state: State, grams: Grams) -> Bucket:
    g_l, litres = b.g_l or USUAL_G_L, b.ml / 1000
    taken = sum(n * grams.of(form, b.glaze).dry_g for form, n in b.glazed.items()) / (1 - DRIPPED)
    left = left_in(litres, g_l, min(taken, MOST_TAKEN_G))
    there = batch_in_use(state, b.glaze)
    gone = b.used_up is not None
    return Bucket(
        b.id, b.glaze, local(b.mixed), local(b.weighed), b.recipe, "" if b.g_l is None else f"{b.g_l / 10:g}", g_l,
        litres, litres * dry_g_per_l(g_l), 0.0 if gone else left.litres, 0.0 if gone else left.dry_g,
        sum(b.glazed.values()), there is not None and there.id == b.id,
        None if b.used_up is None else local(b.used_up), food_of_recipe(state, b.glaze, b.recipe).word,
    )  # fmt: skip


def too_little(state: State, grams: Grams, form: str, glaze: str, count: int) -> str:
    """That the bucket in use holds less than so many pieces take, or nothing; what is needed to dip comes on top."""
    if batch_in_use(state, glaze) is None:
        return ""
    bucket = next(b for b in buckets_of(state, grams, glaze) if b.in_use)
    wanted = take(count, grams.of(form, glaze).dry_g, bucket.g_l).dry_g
    if wanted <= bucket.left_g:
        return ""
    given = {"there": units.scale(bucket.left_g), "wanted": units.scale(wanted)}
    return _("the bucket holds %(there)s of dry glaze and these take %(wanted)s: mix more first") % given
