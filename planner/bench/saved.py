"""Saved scenarios to measure with: ``SIZE-NAME.json`` in a folder, and costs that were reached before (bench.json)."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from planner.bench.arguments import FOLDER
from planner.faults import Fault, Unreadable
from planner.files import read
from planner.jsonio import read_scenario
from planner.scenario import Scenario

SIZES = ("tiny", "small", "medium", "large")
COSTS = "bench.json"


@dataclass(frozen=True)
class Saved:
    """One saved scenario; ``before`` = costs reached before, by name ("hand", "best_20s", "best_45s"), maybe none."""

    name: str
    path: Path
    before: dict[str, int]

    @property
    def size(self) -> str:
        return self.name.split("-", 1)[0]

    def scenario(self) -> Scenario:
        """The scenario; raises :class:`planner.faults.Unreadable`."""
        return read_scenario(read(self.path))


def saved(folder: Path = FOLDER, only: tuple[str, ...] = ()) -> list[Saved]:
    """The scenarios in ``folder``, small ones first; ``only``: sizes, or names without ``.json``.

    Raises :class:`planner.faults.Unreadable` where there is none.
    """
    before = _costs(folder)
    found = [
        Saved(path.stem, path, before.get(path.stem, {}))
        for path in sorted(folder.glob("*-*.json"))
        if path.stem.split("-", 1)[0] in SIZES
    ]
    chosen = [x for x in found if not only or x.size in only or x.name in only]
    unknown = [o for o in only if not any(o in (x.size, x.name) for x in found)]
    if unknown or not chosen:
        what = f"no scenario {', '.join(unknown)} in {folder}" if unknown else f"no scenario in {folder}"
        names = ", ".join([*SIZES, *(x.name for x in found)][:30])
        raise Unreadable([Fault("", what, f"one of {names}" if found else "a folder of files such as tiny-1.json")])
    return sorted(chosen, key=lambda x: (SIZES.index(x.size), x.name))


def _costs(folder: Path) -> dict[str, dict[str, int]]:
    try:
        document = json.loads(read(folder / COSTS))
    except (Unreadable, ValueError):
        return {}
    keys = ("hand", "best_20s", "best_45s")
    return {name: {k: int(v[k]) for k in keys if k in v} for name, v in document.items()}
