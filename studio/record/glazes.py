"""Batches of glaze: mixed, weighed, in use, used up; and what laboratories found on fired ware."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from studio.record.happening import Happening
from studio.record.state import FoodResult, GlazeBatch, State


def mixed(h: Happening) -> None:
    """A new batch, which is the one in use from then on."""
    d, at = h.data, h.fact.happened
    if h.claim(d["glaze_batch"]):
        h.state.glaze_batches[d["glaze_batch"]] = GlazeBatch(
            d["glaze_batch"], d["glaze"], at, d["recipe"], d["ml"], d["g_l"], weighed=at, turn=_next_turn(h.state)
        )


def _next_turn(state: State) -> int:
    return 1 + max((b.turn for b in state.glaze_batches.values()), default=0)


def weighed(h: Happening) -> None:
    """What is in the bucket now; a batch that counted as used up is not, if there is something to weigh."""
    batch = _batch(h)
    if batch is not None:
        batch.ml, batch.g_l, batch.weighed = h.data["ml"], h.data["g_l"], h.fact.happened
        batch.glazed, batch.used_up = {}, None


def in_use(h: Happening) -> None:
    """Glazed from this one from now on, whatever was mixed since."""
    batch = _batch(h)
    if batch is not None:
        batch.turn, batch.used_up = _next_turn(h.state), None


def used_up(h: Happening) -> None:
    batch = _batch(h)
    if batch is not None:
        batch.used_up = h.fact.happened


def _batch(h: Happening) -> GlazeBatch | None:
    batch = h.state.glaze_batches.get(h.data["glaze_batch"])
    if batch is None:
        h.trouble("no_such_glaze_batch", {"glaze_batch": h.data["glaze_batch"]})
    return batch


def dip(state: State, batch_id: str | None, glaze: str, form: str, count: int) -> None:
    """Pieces glazed from a batch. One that is not on record, or of another glaze, is passed over: the ware counts."""
    batch = state.glaze_batches.get(batch_id or "")
    if batch is not None and batch.glaze == glaze:
        batch.glazed[form] = batch.glazed.get(form, 0) + count


def food_result(h: Happening) -> None:
    d = h.data
    found = FoodResult(h.fact.id, d["recipe"], d["on"], d["laboratory"], d["tested"], d["within"], d["reference"])
    h.state.food.setdefault(d["glaze"], []).append(found)


def batch_in_use(state: State, glaze: str, at: int | None = None) -> GlazeBatch | None:
    """The batch that a glaze is taken from: of those not used up, the one mixed or taken up again last.

    ``at`` leaves out what was mixed after that minute, and keeps what was used up after it.
    """
    of = [b for b in state.glaze_batches.values() if b.glaze == glaze and (at is None or b.mixed <= at)]
    there = [b for b in of if b.used_up is None or (at is not None and at < b.used_up)]
    return max(there, key=lambda b: b.turn, default=None)


def open_batches(state: State, glaze: str) -> list[GlazeBatch]:
    """The batches of a glaze that are not used up, the one in use first."""
    there = [b for b in state.glaze_batches.values() if b.glaze == glaze and b.used_up is None]
    return sorted(there, key=lambda b: -b.turn)


class Food(StrEnum):
    """What is on file of a glaze for tableware."""

    WITHIN = "within"  # the limits that the laboratory went by
    OVER = "over"
    OTHER_RECIPE = "other_recipe"  # what was tested was mixed otherwise
    NOT_TESTED = "not_tested"


@dataclass(frozen=True)
class OnFile:
    """``result``: the last one of this recipe, or, for another recipe, the last one there is."""

    word: Food
    result: FoodResult | None = None


def recipe_now(state: State, glaze: str) -> str | None:
    """The recipe of the batch in use, or of the last one; None where no batch is on record."""
    batches = [b for b in state.glaze_batches.values() if b.glaze == glaze]
    batch = batch_in_use(state, glaze) or max(batches, key=lambda b: b.turn, default=None)
    return None if batch is None else batch.recipe


def food_of(state: State, glaze: str) -> OnFile:
    """What is on file of the glaze as it is used now."""
    return food_of_recipe(state, glaze, recipe_now(state, glaze))


def food_of_recipe(state: State, glaze: str, recipe: str | None) -> OnFile:
    """What is on file of a glaze mixed by ``recipe`` (None: however it is mixed).

    A result holds for the recipe of what was tested. A batch with another note has none until a laboratory tested
    ware from it: nobody but the laboratory can know that what was changed does no harm.
    """
    found = sorted(state.food.get(glaze, ()), key=lambda r: r.on)  # of one day, the one recorded later counts
    same = [r for r in found if recipe is None or _plain(r.recipe) == _plain(recipe)]
    if same:
        return OnFile(Food.WITHIN if same[-1].within else Food.OVER, same[-1])
    return OnFile(Food.OTHER_RECIPE, found[-1]) if found else OnFile(Food.NOT_TESTED)


def _plain(recipe: str) -> str:
    """Without what does not make another recipe: capitals and spaces."""
    return " ".join(recipe.split()).casefold()
