"""A year's record of a busy studio: batches of eight bowls, each eight of them through one bisque and one glost."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from studio.services.record import NewFact

MINUTES = 365 * 1440
FACTS = 15_000
BATCHES, PIECES, MOULDS = 8, 8, 15
ROUND = BATCHES * 5 + 6  # facts of one round through the kilns


def year(end: int) -> list[NewFact]:
    """The facts of the year before the minute ``end`` of the record, in the order in which they happened."""
    rounds = FACTS // ROUND
    every = MINUTES // rounds
    return [f for n in range(rounds) for f in _round(n, end - MINUTES + n * every)]


def _round(n: int, at: int) -> Iterator[NewFact]:
    batches = [f"y{n}-{i}" for i in range(BATCHES)]
    for i, batch in enumerate(batches):
        yield from _made(batch, at + i * 30, [f"m{(n * BATCHES + i) % MOULDS}-{k}" for k in range(PIECES)])
    yield from _fired(f"yb{n}", "bisque", batches, at + 250)
    for i, batch in enumerate(batches):
        pieces = [{"batch": batch, "count": PIECES}]
        glazed = {"lot": f"l{batch}", "form": "bowl", "glaze": "chalk", "order": f"o{n}", "pieces": pieces}
        yield _fact("glazed", at + 260 + i, **_span(at + 260 + i, 1), **glazed)
    lots = [f"l{batch}" for batch in batches]
    yield from _fired(f"yg{n}", "glost", lots, at + 270)
    for i, lot in enumerate(lots):
        pieces = [{"batch": lot, "count": PIECES}]
        counts = {"firsts": PIECES - 1, "seconds": 1, "lost": 0, "why": ""}
        what = {"order": f"o{n}", "form": "bowl", "glaze": "chalk", "pieces": pieces, **counts}
        yield _fact("sorted", at + 276 + i // 4, **_span(at + 276 + i // 4, 1), **what)


def _made(batch: str, at: int, moulds: list[str]) -> Iterator[NewFact]:
    pressed = {"batch": batch, "form": "bowl", "count": PIECES, "moulds": moulds, "first": at, "covered": False}
    yield _fact("pressed", at, station="jolley", **pressed, **_span(at, 10))
    rest = {"good": PIECES, "lost": 0, "left": 0, "why": "", "remainder": None}
    yield _fact("taken_out", at + 3, batch=batch, wrapped=False, moulds=[], **rest, **_span(at + 3, 2))
    yield _fact("step_done", at + 6, batch=batch, step="turn", **rest, **_span(at + 6, 2))


def _fired(firing: str, stage: str, what: list[str], at: int) -> Iterator[NewFact]:
    pieces = [{"batch": ware, "count": PIECES} for ware in what]
    load = {"firing": firing, "kiln": "kiln", "program": stage, "stage": stage, "pieces": pieces}
    yield _fact("packed", at, **load, **_span(at, 3))
    yield _fact("lit", at + 1, firing=firing)
    yield _fact("drawn", at + 2, firing=firing, lost=[], **_span(at + 2, 1))


def _span(ended: int, minutes: int) -> dict[str, int]:
    return {"started": ended - minutes, "ended": ended}


def _fact(kind: str, at: int, **data: Any) -> NewFact:
    thing = data.get("lot") or data.get("batch") or data.get("firing") or data["pieces"][0]["batch"]
    return NewFact(f"{kind}-{thing}", kind, data, at)
