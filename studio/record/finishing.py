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
    h.state.seconds[kind] = h.state.seconds.get(kind, 0) + seconds
    h.lose(d["form"], FIRED, lost)


def shipped(h: Happening) -> None:
    """What was sent has left, first the seconds that the customer takes. Where a line has too few firsts of its own,
    others of its kind go, stock first."""
    for row in h.data["lines"]:
        tally = h.tally(row["line"], "", "")
        own = max(0, tally.firsts - (tally.shipped - tally.taken_sent))
        there, seconds = own, 0
        if "form" in row and "glaze" in row:
            kind = f"{row['form']}/{row['glaze']}"
            wanted = max(0, min(row["count"], tally.taken - tally.taken_sent))
            seconds = min(wanted, _off(h.state.seconds, kind, wanted))
            there = seconds + _off(h.state.shelf, kind, row["count"] - seconds)
            stock = h.stock(row["form"], row["glaze"])
            stock.shipped += max(0, min(row["count"] - seconds - own, stock.firsts - stock.shipped))
        tally.shipped += row["count"]
        tally.taken_sent += seconds
        if row["count"] > there:
            h.trouble("sent_more_than_sorted", {"line": row["line"]}, said=row["count"], there=there)


def _off(pots: dict[str, int], kind: str, count: int) -> int:
    """Take up to ``count`` of a form and glaze off a shelf; how many there were to take."""
    there = pots.get(kind, 0)
    pots[kind] = max(0, there - count)
    return there


def seconds_taken(h: Happening) -> None:
    """The customer of a line takes seconds for it: they count for the line and stand on the shelf until they go."""
    d = h.data
    there = h.state.seconds.get(f"{d['form']}/{d['glaze']}", 0)
    h.tally(d["line"], "", "").taken += min(d["count"], there)
    if d["count"] > there:
        h.trouble("more_than_there_are", {"line": d["line"]}, said=d["count"], there=there)


def off_shelf(h: Happening) -> None:
    """Finished pots left the shelf without an order: sold as they stood there, given away or broken."""
    d = h.data
    for pots, said in ((h.state.shelf, d["firsts"]), (h.state.seconds, d["seconds"])):
        there = _off(pots, f"{d['form']}/{d['glaze']}", said)
        if said > there:
            h.trouble("more_than_there_are", {"form": d["form"]}, said=said, there=there)


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
