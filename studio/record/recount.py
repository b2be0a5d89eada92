"""Which counts of a fact a person can correct, and what changes with them."""

from __future__ import annotations

from typing import Any

from studio.record.facts import Fact

COUNTED: dict[str, tuple[str, ...]] = {
    "pressed": ("count",), "taken_out": ("good", "lost"), "step_done": ("good", "lost"), "lost": ("count",),
    "sorted": ("firsts", "seconds", "lost"), "weighed": ("grams",),
    "seconds_taken": ("count",), "off_shelf": ("firsts", "seconds"),
}  # fmt: skip


def recounted(fact: Fact, said: dict[str, Any], ended: int | None) -> dict[str, Any]:
    """The keys of ``fact`` that ``said`` changes, with what hangs on them.

    Fewer pressed leave the last moulds empty. Another end (a minute of the record) moves start and first piece with
    it, for the work took as long as it took; a fact without an end has no time of its own to change.
    """
    new = dict(said)
    if fact.kind == "pressed" and "count" in new:
        new["moulds"] = fact.data["moulds"][: new["count"]]
    if ended is not None and "ended" in fact.data:
        by = ended - fact.data["ended"]
        new |= {k: fact.data[k] + by for k in ("started", "ended", "first") if k in fact.data}
    return {k: v for k, v in new.items() if fact.data[k] != v}
