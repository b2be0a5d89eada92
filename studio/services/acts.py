"""The acts of the workshop as facts: each function gathers what one piece of work leaves on record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from studio.models.base import new_id
from studio.record.state import FiringState, Ware
from studio.services.answers import UNCLEAR, Refused
from studio.services.context import Context
from studio.services.faulty_moulds import faulty_moulds
from studio.services.glazing import batch_for
from studio.translate.moulds_water import waters_of

Pieces = list[dict[str, Any]]


@dataclass(frozen=True)
class Times:
    """When the work was done, in minutes of the record; it is on record from ``ended`` on."""

    started: int
    ended: int

    @property
    def data(self) -> dict[str, int]:
        return {"started": self.started, "ended": self.ended}


@dataclass(frozen=True)
class Said:
    """What the person said beyond "done": all of it may be missing."""

    count: int | None = None  # good ones
    lost: int | None = None
    rest: str | None = None  # "lost" or "to_do": the pieces not spoken of
    why: str = ""
    mould_numbers: str = ""  # of the moulds that the lost ones came from
    covered: bool | None = None
    wrapped: bool | None = None
    moulds: tuple[str, ...] = ()
    seconds: int = 0
    showing: int = 0  # of the firsts, how many show what is seen
    lost_of: tuple[tuple[str, int], ...] = ()  # drawing a kiln: ware and how many of it
    station: str | None = None
    glaze_batch: str | None = None


@dataclass(frozen=True)
class Shares:
    good: int
    lost: int
    left: int


def shares(said: Said, there: int) -> Shares:
    """Good, lost and left of ``there`` pieces. Fewer than there are without a word on the rest is asked about."""
    if said.count is None:
        lost = min(said.lost or 0, there)
        return Shares(there - lost, lost, 0)
    lost = said.lost or 0
    rest = there - said.count - lost
    if rest <= 0:
        return Shares(said.count, lost, 0)
    if said.rest == "lost":
        return Shares(said.count, lost + rest, 0)
    if said.rest == "to_do":
        return Shares(said.count, lost, rest)
    raise Refused(
        _("%(count)d of %(there)d: what about the other %(rest)d? Are they lost, or still to do?")
        % {"count": said.count, "there": there, "rest": rest},
        status=UNCLEAR,
        errors={"rest": _("Choose “lost” or “still to do”.")},
        data={"ask": "rest", "count": said.count, "there": there, "missing": rest},
    )


def press(ctx: Context, data: dict[str, Any], *, lost: int, why: str, at: Times, task: str | None) -> None:
    """Pressed, and what was lost of it at once. ``data`` is that of the fact but the times."""
    ctx.fact("pressed", {**data, **at.data}, task=task, happened=at.ended)
    if lost:
        drop = {"batch": data["batch"], "count": lost, "where": "press", "why": why}
        ctx.fact("lost", drop, happened=at.ended)


def take_out(ctx: Context, ware: Ware, said: Said, *, wrapped: bool, at: Times, task: str | None) -> Shares:
    """Out of the moulds. What is left stays in the moulds that were not named."""
    part = shares(said, ware.count)
    faulty = faulty_moulds(ctx, ware, said.mould_numbers, part.lost)
    first = [*faulty.get("from_moulds", ()), *(m for m in said.moulds if m in ware.moulds)]
    order = list(dict.fromkeys([*first, *ware.moulds]))
    ctx.fact(
        "taken_out",
        {
            "batch": ware.id, **_part(part, said.why), "wrapped": wrapped,
            "moulds": order[: part.good + part.lost], **faulty, **at.data,
        },
        task=task, happened=at.ended,
    )  # fmt: skip
    return part


def leather_step(ctx: Context, ware: Ware, step: str, said: Said, *, at: Times, task: str | None) -> Shares:
    """One piece of leather-hard work."""
    part = shares(said, ware.count)
    data = {"batch": ware.id, "step": step, **_part(part, said.why), **at.data}
    ctx.fact("step_done", data, task=task, happened=at.ended)
    return part


def _part(part: Shares, why: str) -> dict[str, Any]:
    return {
        "good": part.good, "lost": part.lost, "left": part.left, "why": why,
        "remainder": new_id() if part.left else None,
    }  # fmt: skip


def pack(ctx: Context, data: dict[str, Any], pieces: Pieces, *, at: Times, task: str | None) -> None:
    """A kiln is packed; ``data`` names firing, kiln, program and stage."""
    ctx.fact("packed", {**data, "pieces": pieces, **at.data}, task=task, happened=at.ended)


def draw(ctx: Context, firing: FiringState, said: Said, *, at: Times, task: str | None) -> int:
    """A kiln is drawn; how many pieces were lost in it."""
    lost = _lost_in(firing, said)
    data = {"firing": firing.id, "lost": [{"batch": w, "count": n, "why": said.why} for w, n in lost.items()]}
    ctx.fact("drawn", {**data, **at.data}, task=task, happened=at.ended)
    return sum(lost.values())


def _lost_in(firing: FiringState, said: Said) -> dict[str, int]:
    """By ware, what was lost in the kiln. A bare number is asked about where there are several wares."""
    if said.lost_of:
        return {w: n for w, n in said.lost_of if n}
    there = sum(firing.pieces.values())
    lost = max(0, there - said.count) if said.count is not None else said.lost or 0
    if not lost:
        return {}
    if len(firing.pieces) == 1:
        return {next(iter(firing.pieces)): lost}
    raise Refused(
        _("Which ones are lost? There were several kinds of ware in the kiln."),
        errors={"lost": _("Say how many of each.")},
        data={"ask": "lost_of", "wares": dict(firing.pieces), "missing": lost},
    )


def glaze(
    ctx: Context, data: dict[str, Any], pieces: Pieces, *, batch: str | None, at: Times, task: str | None
) -> None:
    """Pieces become a lot; ``data`` names lot, form, glaze and order, ``batch`` the glaze if not that in use then."""
    of = batch_for(ctx, data["glaze"], batch, at.ended)
    ctx.fact("glazed", {**data, "glaze_batch": of, "pieces": pieces, **at.data}, task=task, happened=at.ended)


def lose(ctx: Context, pieces: Pieces, where: str, why: str, *, at: int) -> None:
    """Pieces that broke or failed where they stood."""
    for piece in pieces:
        ctx.fact("lost", {**piece, "where": where, "why": why}, happened=at)


def showing(why: str, count: int, firsts: int) -> dict[str, int]:
    """Of a sorting, how many of the firsts show the fault that was seen; nothing where none does."""
    if count and not why:
        raise Refused(_("What is seen on them?"), errors={"why": _("Choose one from the list.")})
    if count > firsts:
        raise Refused(
            _("There are only %(n)d firsts.") % {"n": firsts}, errors={"showing": _("At most %(n)d.") % {"n": firsts}}
        )
    return {"showing": count} if count else {}


def take(wares: list[Ware], count: int) -> Pieces:
    """``count`` pieces out of ``wares`` in their order, as far as they go."""
    pieces: Pieces = []
    for ware in wares:
        part = min(ware.count, count - sum(p["count"] for p in pieces))
        if part > 0:
            pieces.append({"batch": ware.id, "count": part})
    return pieces


def moulds_for(ctx: Context, form: str, count: int, wanted: list[str]) -> list[str]:
    """``count`` moulds of ``form`` that were most likely pressed: those named, then ready ones with the fewest
    pressings behind them, then resting ones, at last filled ones whose taking out was not recorded."""
    state, known = ctx.state, {}
    waters = waters_of(ctx.studio, state)
    for row in waters.rows:
        if row.form.public_id != form or row.retired_at is not None:
            continue
        stands = state.moulds.get(row.public_id)
        if stands is not None and stands.gone:
            continue
        uses = row.uses_before + (stands.uses if stands else 0)
        filled = stands is not None and stands.filled_by is not None
        resting = (waters.of(row, ctx.minute).ready or 0) > ctx.minute
        fresh = row.ready_from > ctx.happened
        named = wanted.index(row.public_id) if row.public_id in wanted and not filled else len(wanted)
        known[row.public_id] = (filled, named, fresh, resting, uses, row.number)
    if len(known) < count:
        raise Refused(
            _("There are only %(there)d moulds of this form. How many were pressed?") % {"there": len(known)},
            errors={"count": _("At most %(there)d.") % {"there": len(known)}},
        )
    return sorted(known, key=known.__getitem__)[:count]
