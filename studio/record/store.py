"""The state as JSON values and back, for snapshots."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from studio.record.state import (
    BagState,
    CastState,
    ClayState,
    FiringState,
    FoodResult,
    GlazeBatch,
    KilnState,
    LifeState,
    MouldState,
    Remark,
    Setting,
    State,
    Tally,
    ToolState,
    Trouble,
    Ware,
)

RECORDS: dict[str, type] = {
    "ware": Ware, "moulds": MouldState, "firings": FiringState, "casts": CastState, "kilns": KilnState,
    "lines": Tally, "stock": Tally, "glaze_batches": GlazeBatch, "clay": ClayState, "plaster": BagState,
    "lives": LifeState, "settings": Setting, "tools": ToolState,
}  # fmt: skip
PLAIN = (
    "shelf", "seconds", "clay_begun", "clay_of", "reclaim", "jobs_done", "lost", "made", "twice", "done_tasks", "seen",
)  # fmt: skip


def state_to_json(state: State) -> dict[str, Any]:
    """``state`` as dictionaries, lists, texts and whole numbers only."""
    said: dict[str, Any] = {name: {k: asdict(v) for k, v in getattr(state, name).items()} for name in RECORDS}
    said.update({name: dict(getattr(state, name)) for name in PLAIN})
    said["casting"] = {cast: dict(steps) for cast, steps in state.casting.items()}
    said["mounted"] = {k: list(v) for k, v in state.mounted.items()}
    said["away"] = [list(x) for x in state.away]
    said["troubles"] = [asdict(t) for t in state.troubles]
    said["remarks"] = {form: [asdict(r) for r in found] for form, found in state.remarks.items()}
    said["food"] = {glaze: [asdict(r) for r in found] for glaze, found in state.food.items()}
    said["ids"] = sorted(state.ids)
    return said


def state_from_json(said: dict[str, Any]) -> State:
    """The state that :func:`state_to_json` wrote."""
    state = State()
    for name, kind in RECORDS.items():
        setattr(state, name, {k: kind(**v) for k, v in said[name].items()})
    for name in PLAIN:
        setattr(state, name, dict(said[name]))
    for ware in state.ware.values():
        ware.pressed, ware.released = _pair(ware.pressed), _pair(ware.released)
    for mould in state.moulds.values():
        mould.turns, mould.dry = [(a, b) for a, b in mould.turns], _pair(mould.dry)
        mould.grams = [(at, grams) for at, grams in mould.grams]
    for tool in state.tools.values():
        tool.sections = [(pressed, tenths) for pressed, tenths in tool.sections]
    for firing in state.firings.values():
        firing.packed = (firing.packed[0], firing.packed[1])
        firing.reads = [(at, tenths) for at, tenths in firing.reads]
        firing.cone = None if firing.cone is None else (firing.cone[0], firing.cone[1])
    state.casting = {cast: dict(steps) for cast, steps in said["casting"].items()}
    state.mounted = {k: (form, at) for k, (form, at) in said["mounted"].items()}
    state.away = [(person, a, b) for person, a, b in said["away"]]
    state.troubles = [Trouble(**t) for t in said["troubles"]]
    state.remarks = {form: [Remark(**r) for r in found] for form, found in said["remarks"].items()}
    state.food = {glaze: [FoodResult(**r) for r in found] for glaze, found in said["food"].items()}
    state.ids = set(said["ids"])
    return state


def _pair(value: Any) -> tuple[int, int] | None:
    return None if value is None else (value[0], value[1])
