"""Pressing, taking out and leather-hard work."""

from __future__ import annotations

from dataclasses import replace

from studio.record import clay, forms, remarks
from studio.record.facts import part_name
from studio.record.happening import Happening
from studio.record.state import IN_MOULD, LEATHER, TURNS_KEPT, MouldState, Ware


def mould_of(h: Happening, mould_id: str) -> MouldState:
    return h.state.moulds.setdefault(mould_id, MouldState(mould_id))


def pressed(h: Happening) -> None:
    """A new batch. Moulds that were filled must have been emptied; a cracked one is told and keeps its piece."""
    d = h.data
    if not h.claim(d["batch"]):
        return
    span = (d["started"], d["ended"])
    moulds = [mould_of(h, m) for m in d["moulds"]]
    _drive_out(h, [m for m in moulds if m.filled_by is not None], span[0])
    for mould in moulds:
        if mould.gone:
            h.trouble("mould_gone", {"mould": mould.id, "how": mould.gone})
        mould.filled_by, mould.filled_at, mould.uses = d["batch"], span[0], mould.uses + 1
    ware = Ware(
        d["batch"], d["form"], d["count"], IN_MOULD, moulds=list(d["moulds"]), pressed=span, first=d["first"],
        covered_in_mould=d["covered"],
    )  # fmt: skip
    h.add(ware)
    clay.drawn(h, ware)
    h.state.made[d["form"]] = h.state.made.get(d["form"], 0) + d["count"]
    forms.pressed(h)
    if d["station"] is not None and span[0] >= h.state.mounted.get(d["station"], ("", -1))[1]:
        h.state.mounted[d["station"]] = (d["form"], span[0])


def _drive_out(h: Happening, filled: list[MouldState], at: int) -> None:
    """The pieces in moulds that are pressed again were taken out by ``at`` without a word: leather-hard ware now."""
    driven: dict[str, list[str]] = {}
    for mould in filled:
        h.trouble("mould_filled", {"mould": mould.id, "ware": str(mould.filled_by)})
        driven.setdefault(str(mould.filled_by), []).append(mould.id)
        empty(mould, at)
    for ware_id, moulds in driven.items():
        ware = h.state.ware[ware_id]
        part = h.split(ware, part_name(h.data["batch"], ware_id), len(moulds))
        ware.moulds = [m for m in ware.moulds if m not in moulds]
        _out(part, (at, at), wrapped=False)
        part.implied = True


def empty(mould: MouldState, at: int) -> None:
    """The use is over; a take-out told for before its pressing is taken to be at once."""
    if mould.filled_at is not None:
        turn = (mould.filled_at, max(mould.filled_at, at))
        mould.turns = [*mould.turns, turn][-TURNS_KEPT:]
    mould.filled_by, mould.filled_at, mould.emptied = None, None, at


def _out(ware: Ware, span: tuple[int, int], wrapped: bool) -> None:
    ware.stage, ware.released, ware.last_end, ware.wrapped = LEATHER, span, span[1], wrapped
    ware.until = ware.ask_at = None
    ware.moulds = []


def covered(h: Happening) -> None:
    in_mould = h.data["what"] == "mould"
    ware = h.ware(h.data["batch"], IN_MOULD if in_mould else LEATHER)
    if ware is not None and in_mould:
        ware.covered_in_mould = True
    elif ware is not None:
        ware.wrapped = True


def _shares(h: Happening, ware: Ware) -> tuple[int, int, int]:
    """Good, lost and left of a batch, as far as they go; pieces that are not spoken of are lost, with a trouble."""
    d = h.data
    good = min(d["good"], ware.count)
    lost = min(d["lost"], ware.count - good)
    left = min(d["left"], ware.count - good - lost)
    said = d["good"] + d["lost"] + d["left"]
    if said > ware.count:
        h.trouble("more_than_there_are", {"ware": ware.id}, said=said, there=ware.count)
    elif said < ware.count:
        h.trouble("fewer_than_there_are", {"ware": ware.id}, said=said, there=ware.count)
    return good, ware.count - good - left, left


def taken_out(h: Happening) -> None:
    """The pieces taken out keep the batch's id; those left are a batch of their own with the other moulds."""
    d = h.data
    ware = h.state.ware.get(d["batch"])
    implied = ware is not None and ware.stage == LEATHER and ware.implied
    if not implied:
        ware = h.ware(d["batch"], IN_MOULD)
    if ware is None:
        return
    good, lost, left = _shares(h, ware)
    kept = _emptied(h, ware, good + lost) if not implied else []
    if left:
        rest = replace(ware, id=h.part_id(d["remainder"]), count=left, moulds=kept, parent=ware.id, steps=[])
        for mould_id in kept:
            mould_of(h, mould_id).filled_by = rest.id
        h.add(rest)
    h.lose(ware.form, IN_MOULD, lost)
    clay.broken(h, ware, lost)
    h.take(ware, left + lost)
    _out(ware, (d["started"], d["ended"]), d["wrapped"])
    ware.implied = False


def _emptied(h: Happening, ware: Ware, count: int) -> list[str]:
    """Empty ``count`` moulds of ``ware``, those that the fact names first; the moulds that stay filled."""
    named = [m for m in h.data["moulds"] if m in ware.moulds]
    if len(named) < len(h.data["moulds"]):
        other = next(m for m in h.data["moulds"] if m not in ware.moulds)
        h.trouble("mould_elsewhere", {"mould": other, "ware": ware.id})
    order = named + [m for m in ware.moulds if m not in named]
    for mould_id in order[:count]:
        empty(mould_of(h, mould_id), h.data["ended"])
    return order[count:]


def step_done(h: Happening) -> None:
    """Leather-hard work: what was worked on keeps the batch's id."""
    d = h.data
    ware = h.ware(d["batch"], LEATHER)
    if ware is None:
        return
    if d["step"] in ware.steps:
        h.trouble("step_done_before", {"ware": ware.id, "step": d["step"]})
        return
    _good, lost, left = _shares(h, ware)
    if left:
        rest_id = h.part_id(d["remainder"])
        h.add(replace(ware, id=rest_id, count=left, parent=ware.id, moulds=[], steps=list(ware.steps)))
    h.lose(ware.form, LEATHER, lost)
    clay.broken(h, ware, lost)
    h.take(ware, left + lost)
    ware.steps.append(d["step"])
    ware.last_end, ware.until, ware.ask_at = d["ended"], None, None
    ware.implied = False


def lost(h: Happening) -> None:
    ware = h.state.ware.get(h.data["batch"])
    if ware is None:
        h.trouble("no_such_ware", {"ware": h.data["batch"]})
        return
    of = h.data.get("from_moulds", ())
    ware.moulds = sorted(ware.moulds, key=lambda m: m in of)  # the last ones are emptied first
    drop(h, ware, h.up_to(ware, h.data["count"]))


def drop(h: Happening, ware: Ware, count: int) -> None:
    """Lose ``count`` pieces of ``ware`` wherever it stands; a filled mould is emptied with its piece."""
    for mould_id in ware.moulds[len(ware.moulds) - count :] if ware.stage == IN_MOULD else ():
        empty(mould_of(h, mould_id), h.fact.happened)
    if ware.stage == IN_MOULD:
        ware.moulds = ware.moulds[: len(ware.moulds) - count]
    h.lose(ware.form, ware.stage, count)
    if ware.stage in (IN_MOULD, LEATHER):
        clay.broken(h, ware, count)
    h.take(ware, count)


def still_good(h: Happening) -> None:
    ware = h.ware(h.data["batch"], IN_MOULD, LEATHER)
    if ware is not None:
        ware.until = h.data["until"]


def too_soft(h: Happening) -> None:
    ware = h.ware(h.data["batch"], IN_MOULD, LEATHER)
    if ware is not None:
        ware.ask_at = h.data["ask_at"]
        if ware.stage == IN_MOULD:
            remarks.keep(h, ware, "too_soft")
