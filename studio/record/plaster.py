"""Working moulds: poured, lifted, weighed, cracked, retired."""

from __future__ import annotations

from studio.record import bags, clay, forms
from studio.record.form import CAST_STEPS
from studio.record.happening import Happening
from studio.record.making import empty, mould_of
from studio.record.state import GRAMS_KEPT, IN_MOULD, CastState, MouldState


def mould_cracked(h: Happening) -> None:
    _gone(h, "cracked")


def mould_retired(h: Happening) -> None:
    _gone(h, "retired")


def _gone(h: Happening, how: str) -> None:
    """The mould is gone, and the piece in it if the fact says so."""
    mould = mould_of(h, h.data["mould"])
    if mould.gone is not None:
        h.trouble("mould_gone", {"mould": mould.id, "how": mould.gone})
        return
    mould.gone, mould.gone_at = how, h.fact.happened
    ware = h.state.ware.get(mould.filled_by or "")
    if h.data["piece_lost"] and ware is not None:
        ware.moulds.remove(mould.id)
        h.lose(ware.form, IN_MOULD, 1)
        clay.broken(h, ware, 1)
        h.take(ware, 1)
        empty(mould, h.fact.happened)


def weighed(h: Happening) -> None:
    """On the scale; ``dry`` says that nothing but the plaster was weighed."""
    mould, weighing = mould_of(h, h.data["mould"]), (h.fact.happened, h.data["grams"])
    mould.grams = [*mould.grams, weighing][-GRAMS_KEPT:]
    if h.data.get("dry"):
        mould.dry = weighing


def poured(h: Happening) -> None:
    """A cast that was lost may be poured again under its id."""
    d = h.data
    before = h.state.casts.get(d["cast"])
    if before is None and not h.claim(d["cast"]):
        return
    h.state.casts[d["cast"]] = CastState(d["cast"], d["form"], d["ended"])
    bags.used(h, d.get("plaster_g", 0))
    life = forms.life_of(h, d["form"])
    life.poured = d["ended"] if life.poured is None else life.poured


def cast_step(h: Happening) -> None:
    """A step of a casting session that has no other fact of its own."""
    h.state.casting.setdefault(h.data["cast"], {})[h.data["step"]] = h.fact.happened


def lifted(h: Happening) -> None:
    cast = h.state.casts.get(h.data["cast"])
    if cast is None or cast.gone:
        h.trouble("no_such_cast", {"cast": h.data["cast"]})
        return
    cast.lifted = h.data["ended"]
    life = forms.life_of(h, cast.form)
    life.lifted = cast.lifted if life.lifted is None else life.lifted
    h.state.moulds.setdefault(cast.id, MouldState(cast.id))


def cast_lost(h: Happening) -> None:
    cast = h.state.casts.get(h.data["cast"])
    if cast is None or cast.gone or cast.lifted is not None:
        h.trouble("no_such_cast", {"cast": h.data["cast"]})
        return
    cast.gone = True
    for kind in ("poured", "lifted", "cast_lost"):  # it may be poured again
        h.state.seen.pop(f"{kind}/{cast.id}", None)
    for step in CAST_STEPS:
        h.state.seen.pop(f"cast_step/{cast.id}/{step}", None)
    h.state.casting.pop(cast.id, None)
