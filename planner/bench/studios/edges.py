"""Twists that bring the least of every number, and minutes on both sides of now, into a sound scenario."""

from __future__ import annotations

import random
from typing import Any

Json = dict[str, Any]


def _some(r: random.Random, record: Json, **least: Any) -> None:
    record.update({k: v for k, v in least.items() if r.random() < 0.4})


def least_forms(r: random.Random, s: Json) -> None:
    """Here and there a board for each piece, a shelf for each, a millimetre high, out of the mould at once."""
    for f in s["forms"]:
        _some(r, f["boards"], green=1, glazed=1)
        for stage in ("bisque", "glost"):
            _some(r, f[stage], clearance_mm=1, per_shelf=dict.fromkeys(f[stage]["per_shelf"], 1))
        for window in ("release_after", "release_after_covered"):
            if f[window] is not None:
                _some(r, f, **{window: [0, f[window][1]]})
        for step in f["steps"]:
            _some(r, step, after=[30, step["after"][1]])


def least_kilns_and_casts(r: random.Random, s: Json) -> None:
    """Here and there one shelf, one millimetre, a minute to fire, no heat to pay, a cast for one pressing."""
    for k in s["kilns"]:
        _some(r, k, stack_mm=1, shelf_mm=1, shelves=1, load=1, unload=1)
        for p in k["programs"]:
            _some(r, p, fire=1, cool=0, kwh=0)
    for c in s["casts"]:
        _some(r, c, pour=1, lift_after=[0, c["lift_after"][1]], lift=1, dry=0, uses=1)
    for g in s["glazes"]:
        _some(r, g, fixed=0)
    for j in s["jobs"]:
        _some(r, j, minutes=1)
    _some(r, s["racks"], damp=0, drying=0, glazed=0)


def around_now(r: random.Random, s: Json) -> None:
    """Things that were ready long ago, are ready now or soon; a pressing under way; a word that has passed."""
    for w in s["wip"]:
        if "until" in w:
            w["until"] = r.choice([None, -20, 0, 900])
        if w["stage"] == "in_mould":
            by = r.choice([0, -w["first"], 15 - w["first"]])
            w.update(pressed=[x + by for x in w["pressed"]], first=w["first"] + by)
        if w["stage"] in ("bisqued", "glazed", "fired"):
            w["at"] = r.choice([-50, 0, 200])
        if w["stage"] == "drying":
            w["dry_at"] = r.choice([-50, 0, 200])
    opens = r.choice([-20, 0, 90])
    for w in s["wip"]:
        if w["stage"] == "firing":
            w["opens"] = opens
    for m in s["moulds"]:
        if m["ready"] is not None:
            m["ready"] = r.choice([-100, 0, 40])
    for c in s["casts"]:
        if c["poured"] is not None:
            c["poured"] = r.choice([-30, 0, 5])
