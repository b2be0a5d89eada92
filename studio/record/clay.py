"""Clay: batches that came or were pugged, which one is in use, what was pressed from it, and what went to the reclaim.

A pressing draws on the batch in use at its time: the one that a person began, else the oldest of its body with clay
left by reckoning. Of what is cut off, and of pieces lost before the bisque, a part comes back as reclaim.
"""

from __future__ import annotations

from studio.record.happening import Happening
from studio.record.state import ClayState, State, Ware

COMES_BACK_PCT = 80  # of trimmings and lost wet pieces; common practice, no source


def clay_in(h: Happening) -> None:
    """A batch is there. What of it came out of the reclaim is there no more."""
    d = h.data
    if not h.claim(d["batch"]):
        return
    h.state.clay[d["batch"]] = ClayState(
        d["batch"], d["body"], d["how"], h.fact.happened, len(h.state.clay), d["grams"], d["grams"], d.get("water_pct")
    )
    back = d.get("reclaim_g", 0)
    if back:
        h.state.reclaim[d["body"]] = max(0, h.state.reclaim.get(d["body"], 0) - back)


def clay_begun(h: Happening) -> None:
    """By a person's word it is this batch from now on."""
    batch = _batch(h)
    if batch is not None:
        h.state.clay_begun[batch.body] = batch.id


def clay_left(h: Happening) -> None:
    """By the scale, or by a look into the bag, so much is left."""
    batch = _batch(h)
    if batch is not None:
        batch.left = h.data["grams"]


def reclaim_left(h: Happening) -> None:
    h.state.reclaim[h.data["body"]] = h.data["grams"]


def _batch(h: Happening) -> ClayState | None:
    batch = h.state.clay.get(h.data["batch"])
    if batch is None:
        h.trouble("no_such_clay", {"clay": h.data["batch"]})
    return batch


def batches_of(state: State, body: str) -> list[ClayState]:
    """The batches of a body, the oldest first."""
    return sorted((c for c in state.clay.values() if c.body == body), key=lambda c: c.nth)


def in_use(state: State, body: str) -> ClayState | None:
    """The batch in use: the one begun, else the oldest with clay left, else the last one; None where none is known."""
    begun = state.clay.get(state.clay_begun.get(body, ""))
    if begun is not None and begun.left > 0:
        return begun
    own = batches_of(state, body)
    return next((c for c in own if c.left > 0), own[-1] if own else None)


def drawn(h: Happening, ware: Ware) -> None:
    """The clay of a pressing, and what was cut off; facts that name no body tell nothing of it."""
    d = h.data
    said = h.state.clay.get(d.get("clay", ""))
    body = said.body if said is not None else d.get("body")
    if body is None:
        return
    batch = said or in_use(h.state, body)
    ball, spare = d.get("ball_g", 0), d.get("spare_g", 0)
    ware.body, ware.wet_g = body, max(0, ball - spare)
    if batch is not None:
        h.state.clay_of[ware.id] = batch.id
        _take(h.state, batch, ball * ware.count)
    back(h.state, body, spare * ware.count)


def _take(state: State, batch: ClayState, grams: int) -> None:
    """Off this batch, and what it has not off the others in their order: a pressing may begin one and end another."""
    if grams <= batch.left:
        batch.left -= grams
        return
    for one in [batch, *(c for c in batches_of(state, batch.body) if c is not batch)]:
        part = min(one.left, grams)
        one.left, grams = one.left - part, grams - part


def back(state: State, body: str, grams: int) -> None:
    """Into the reclaim, as much of it as comes back."""
    if grams > 0:
        state.reclaim[body] = state.reclaim.get(body, 0) + grams * COMES_BACK_PCT // 100


def broken(h: Happening, ware: Ware, count: int) -> None:
    """Pieces lost before the bisque go back into the clay."""
    if ware.body is not None:
        back(h.state, ware.body, ware.wet_g * count)
