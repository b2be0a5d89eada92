"""Facts for tests, each of the right form from a few words."""

from __future__ import annotations

from typing import Any

from studio.record.facts import Fact

HOUR = 60
T0 = 29_000_000  # some day in 2025
COUNT = iter(range(1, 10**9))


def fact(
    kind: str, at: int, /, *, seq: int | None = None, fact_id: str | None = None, task: str | None = None, **data: Any
) -> Fact:
    """A fact that happened ``at`` minutes after T0."""
    seq = next(COUNT) if seq is None else seq
    return Fact(fact_id or f"f{seq}", kind, T0 + at, seq, T0 + at, None, task, data)


def pressed(at: int, batch: str = "b", moulds: tuple[str, ...] = ("m1", "m2", "m3"), **over: Any) -> Fact:
    data = {
        "batch": batch, "form": "bowl", "count": len(moulds), "moulds": list(moulds), "started": T0 + at - 30,
        "ended": T0 + at, "first": T0 + at - 27, "covered": False, "station": "jolley",
    }  # fmt: skip
    keys = {k: over.pop(k) for k in ("fact_id", "seq", "task") if k in over}
    return fact("pressed", at, **keys, **{**data, **over})


def taken_out(at: int, batch: str = "b", good: int = 3, lost: int = 0, left: int = 0, **over: Any) -> Fact:
    data = {
        "batch": batch, "good": good, "lost": lost, "left": left, "why": "", "wrapped": False, "moulds": [],
        "started": T0 + at - 5, "ended": T0 + at, "remainder": f"{batch}-rest" if left else None,
    }  # fmt: skip
    keys = {k: over.pop(k) for k in ("fact_id", "seq", "task") if k in over}
    return fact("taken_out", at, **keys, **{**data, **over})


def step_done(
    at: int, batch: str = "b", step: str = "turn", good: int = 3, lost: int = 0, left: int = 0, **over: Any
) -> Fact:
    data = {
        "batch": batch, "step": step, "good": good, "lost": lost, "left": left, "why": "", "started": T0 + at - 9,
        "ended": T0 + at, "remainder": f"{batch}-rest" if left else None,
    }  # fmt: skip
    keys = {k: over.pop(k) for k in ("fact_id", "seq", "task") if k in over}
    return fact("step_done", at, **keys, **{**data, **over})


def packed(at: int, firing: str = "f", stage: str = "bisque", kiln: str = "a", **pieces: int) -> Fact:
    return fact(
        "packed", at, firing=firing, kiln=kiln, program=f"{stage}-p", stage=stage, started=T0 + at - 60,
        ended=T0 + at, pieces=[{"batch": b, "count": n} for b, n in pieces.items()],
    )  # fmt: skip


def drawn(at: int, firing: str = "f", **lost: int) -> Fact:
    rows = [{"batch": b, "count": n, "why": "cracked"} for b, n in lost.items()]
    return fact("drawn", at, firing=firing, started=T0 + at - 40, ended=T0 + at, lost=rows)


def glazed(at: int, lot: str = "l", order: str | None = "line", form: str = "bowl", **pieces: int) -> Fact:
    return fact(
        "glazed", at, lot=lot, form=form, glaze="chalk", order=order, started=T0 + at - 20, ended=T0 + at,
        pieces=[{"batch": b, "count": n} for b, n in pieces.items()],
    )  # fmt: skip


def sorted_(at: int, firsts: int, seconds: int = 0, lost: int = 0, order: str | None = "line", **pieces: int) -> Fact:
    task = pieces.pop("task", None)
    return fact(
        "sorted", at, task=task, order=order, form="bowl", glaze="chalk", firsts=firsts, seconds=seconds, lost=lost,
        why="", started=T0 + at - 20, ended=T0 + at, pieces=[{"batch": b, "count": n} for b, n in pieces.items()],
    )  # fmt: skip


def undo(at: int, of: Fact, **over: Any) -> Fact:
    return fact("undo", at, of=of.id, **over)


def correction(at: int, of: Fact, **data: Any) -> Fact:
    return fact("correction", at, of=of.id, data=data)


def whole_way() -> list[Fact]:
    """Three bowls from the pressing to the box, one a second."""
    return [
        pressed(0), taken_out(600), step_done(660), packed(2400, b=3), fact("lit", 2500, firing="f"), drawn(4000),
        glazed(4100, b=3), packed(4500, "g", "glost", l=3), fact("lit", 4600, firing="g"), drawn(6400, "g"),
        sorted_(6500, 2, 1, l=3), fact("shipped", 6600, lines=[{"line": "line", "count": 2}]),
    ]  # fmt: skip
