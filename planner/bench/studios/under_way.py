"""Ware under way in a random studio: near orders are where they should be by now, some of it still in its moulds."""

from __future__ import annotations

import random
from typing import Any

DAY = 1440
Json = dict[str, Any]


def put_under_way(r: random.Random, document: Json) -> None:
    """Ware for the near orders at the stage where it should be by now, one batch in its moulds, one leather-hard."""
    forms = {f["id"]: f for f in document["forms"]}
    in_kiln, height = None, 0
    for o in sorted(document["orders"], key=lambda o: o["due"]):
        lead, f = o["due"] / DAY, forms[o["form"]]
        if lead > 12 or r.random() < (0.05 if lead < 9 else 0.5):
            continue
        early, middle, late = ["fired", "glazed"], ["glazed", "glost", "bisqued"], ["bisqued", "bisque", "drying"]
        stage = r.choice(early if lead < 2.5 else middle if lead < 5 else late if lead < 8 else ["drying"])
        count = max(1, int(o["qty"] * r.choice([0.8, 1.0, 1.05, 1.15])))
        if stage in ("glost", "bisque"):
            need = -(-count // f[stage]["per_shelf"]["a"]) * (f[stage]["clearance_mm"] + 20)
            if in_kiln in (None, stage) and height + need <= 690:
                in_kiln, height = stage, height + need
            else:
                stage = "bisqued"
        _add_ware(r, document, stage, o, count)
    _add_in_mould(r, document)
    _add_leather_hard(r, document)


def _add(document: Json, stage: str, **more: Any) -> None:
    document["wip"].append({"stage": stage, "id": f"w{len(document['wip']) + 1:02d}-{stage}", **more})


def _has_room(document: Json, stage: str, key: str, f: Json, count: int) -> bool:
    """Whether ``count`` more pieces leave a good third of the rack free."""
    boards = {x["id"]: x["boards"][key] for x in document["forms"]}
    standing = [(w["form"], w["count"]) for w in document["wip"] if w["stage"] == stage] + [(f["id"], count)]
    return sum(-(-n // boards[form]) for form, n in standing) <= 0.65 * document["racks"][stage]


def _add_ware(r: random.Random, document: Json, stage: str, o: Json, count: int) -> None:
    own = {"form": o["form"], "count": count}
    form = next(f for f in document["forms"] if f["id"] == o["form"])
    if stage in ("glazed", "drying"):
        stage = (
            stage if _has_room(document, stage, "glazed" if stage == "glazed" else "green", form, count) else "bisqued"
        )
    if stage == "fired":
        _add(document, "fired", **own, order=o["id"], at=0)
    elif stage == "glazed":
        _add(document, "glazed", **own, order=o["id"], glaze=o["glaze"], at=r.choice([0, 0, 300]))
    elif stage == "drying":
        _add(document, "drying", **own, dry_at=r.choice([-60, 600, 1500]))
    elif stage in ("bisque", "glost"):
        document["kilns"][0]["free_at"] = None
        order = o["id"] if stage == "glost" else None
        _add(document, "firing", **own, kiln="a", fired_stage=stage, opens=r.choice([500, 900]), order=order)
    else:
        _add(document, "bisqued", **own, at=0)


def _opens(document: Json) -> int:
    """The first minute at which anybody is there."""
    return min((p["hours"][0][0] for p in document["people"] if p["hours"]), default=0)


def _add_in_mould(r: random.Random, document: Json) -> None:
    f = r.choice(document["forms"])
    own = [m for m in document["moulds"] if m["form"] == f["id"]][: r.randint(2, 8)]
    for m in own:
        m["ready"] = None
    covered = f["release_after_covered"] is not None and r.random() < 0.7
    opens = _opens(document)
    ended = min(-5, opens + 20 - f["release_after_covered" if covered else "release_after"][0])
    began = ended - -(-len(own) * f["press"]["each_s"] // 60)
    pressed = {"pressed": [began, ended], "first": began + -(-f["press"]["each_s"] // 60)}
    until = r.choice([None, None, opens + 400])
    held = [m["id"] for m in own]
    _add(document, "in_mould", form=f["id"], count=len(own), moulds=held, **pressed, covered=covered, until=until)


def _add_leather_hard(r: random.Random, document: Json) -> None:
    stepped = [f for f in document["forms"] if f["steps"]]
    if stepped and r.random() < 0.7:
        f, count, ended = r.choice(stepped), r.randint(3, 12), min(-10, _opens(document) - 60)
        began = ended - max(1, -(-count * f["release"]["each_s"] // 60))
        more = {"released": [began, ended], "covered": True, "steps_done": 0, "until": None}
        _add(document, "released", form=f["id"], count=count, **more)
