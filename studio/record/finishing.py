"""Glazing, sorting, sending off, and the ware that a new studio already has."""

from __future__ import annotations

from studio.record import glazes
from studio.record.happening import Happening
from studio.record.state import BISQUED, FIRED, GLAZED, LEATHER, Ware


def _gather(h: Happening, stage: str) -> int:
    """Take the pieces that the fact names, as far as they are there; how many were."""
    taken = 0
    for piece in h.data["pieces"]:
        ware = h.ware(piece["batch"], stage)
        if ware is not None and ware.form != h.data["form"]:
            h.trouble("other_form", {"ware": ware.id, "form": ware.form})
        elif ware is not None:
            count = h.up_to(ware, piece["count"])
            h.take(ware, count)
            taken += count
    return taken


def glazed(h: Happening) -> None:
    """A new lot out of bisqued ware."""
    d = h.data
    if not h.claim(d["lot"]):
        return
    taken = _gather(h, BISQUED)
    if taken:
        glazes.dip(h.state, d.get("glaze_batch"), d["glaze"], d["form"], taken)
        h.add(
            Ware(
                d["lot"], d["form"], taken, GLAZED, at=d["ended"], order=d["order"], glaze=d["glaze"],
                parent=d["pieces"][0]["batch"],
            )
        )  # fmt: skip


def sorted_(h: Happening) -> None:
    """Firsts go to the order (or to stock if there is none), seconds always to stock."""
    d = h.data
    taken = _gather(h, FIRED)
    firsts = min(d["firsts"], taken)
    seconds = min(d["seconds"], taken - firsts)
    lost = taken - firsts - seconds
    tally = h.tally(d["order"], d["form"], d["glaze"])
    tally.firsts += firsts
    tally.seconds += seconds
    tally.lost += lost
    if d["order"] is not None:
        h.stock(d["form"], d["glaze"]).seconds += seconds
    kind = f"{d['form']}/{d['glaze']}"
    h.state.shelf[kind] = h.state.shelf.get(kind, 0) + firsts
    h.lose(d["form"], FIRED, lost)


def shipped(h: Happening) -> None:
    """What was sent has left. Where a line has too few firsts of its own, others of its kind go, stock first."""
    for row in h.data["lines"]:
        tally = h.tally(row["line"], "", "")
        own = max(0, tally.firsts - tally.shipped)
        tally.shipped += row["count"]
        there = own
        if "form" in row and "glaze" in row:
            there = _off_the_shelf(h, f"{row['form']}/{row['glaze']}", row["count"])
            stock = h.stock(row["form"], row["glaze"])
            stock.shipped += max(0, min(row["count"] - own, stock.firsts - stock.shipped))
        if row["count"] > there:
            h.trouble("sent_more_than_sorted", {"line": row["line"]}, said=row["count"], there=there)


def _off_the_shelf(h: Happening, kind: str, count: int) -> int:
    """Take up to ``count`` firsts of a form and glaze off the shelf; how many there were to take."""
    there = h.state.shelf.get(kind, 0)
    h.state.shelf[kind] = max(0, there - count)
    return there


def opening(h: Happening) -> None:
    """Ware that stood there when the record began."""
    d = h.data
    if not h.claim(d["id"]):
        return
    ware = Ware(d["id"], d["form"], d["count"], d["stage"], at=d["at"], order=d["order"], glaze=d["glaze"])
    if d["stage"] == LEATHER:
        ware.last_end, ware.dry_at = d["at"], d["at"] if d["dry_at"] is None else d["dry_at"]
        ware.released = (d["at"], d["at"])
        ware.order = ware.glaze = ware.at = None
    h.add(ware)
