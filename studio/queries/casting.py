"""A casting session: one mould from the soap to its constant weight, with what is ticked and when to look next."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio import units, words
from studio.models import Cast, Mould, MouldMix, Studio
from studio.queries.cards import local
from studio.queries.moulds import planned_casts
from studio.queries.plaster import PlasterMix, address_of, mix_kept
from studio.queries.record import minute_of
from studio.queries.state import state_of
from studio.record.state import State
from studio.translate.moulds_water import waters_of
from studio.translate.plaster import USUAL_LIFT
from studio.words import Text

SOAK_MIN, STIR_MIN = 2, 3  # a maker's sheet says 1 to 2 minutes of each; stirring by hand takes longer: common practice
FRAME_MIN = (15, 25)  # after the pour: common practice, no source
POURED, LIFTED, DRY = "poured", "lifted", "dry"
TITLES: dict[str, Text] = {
    "soaped": gettext_lazy("Soap the model and the frame"),
    "weighed": gettext_lazy("Weigh water and plaster"),
    "sifted": gettext_lazy("Sift the plaster into the water"),
    POURED: gettext_lazy("Pour as it begins to thicken"),
    "frame_off": gettext_lazy("Frame off as it begins to warm"),
    LIFTED: gettext_lazy("Lift it off the model"),
    DRY: gettext_lazy("Let it dry to constant weight"),
}
HINTS: dict[str, Text] = {
    "soaped": gettext_lazy(
        "Three or four thin coats of soft soap, each wiped off and rubbed until water runs off in beads. Level the "
        "board, and close every gap with clay."
    ),
    "weighed": gettext_lazy(
        "Cool clean water into a clean bucket, dry plaster beside it. Warm water, or old plaster in the bucket, makes "
        "it set sooner."
    ),
    "sifted": gettext_lazy(
        "Gently, mask on. Let it soak without touching it, then stir from below without beating air in: with a stick "
        "or a mixer, never with a hand."
    ),
    POURED: gettext_lazy(
        "Like cream, when a drop leaves a trace. In one thin stream beside the model until it stands over it; knock on "
        "the board so that bubbles rise."
    ),
    "frame_off": gettext_lazy(
        "Put a hand on the outside of the frame now and then: off while it is warm, before it is hot and grips. The "
        "clock only reminds, the warmth decides."
    ),
    LIFTED: gettext_lazy(
        "When it has been hot and cools again. Round the edges, wash the soap off, cut its number in, and weigh it."
    ),
    DRY: gettext_lazy("Standing with air all round. It is dry when it weighs the same two days running."),
}
ORDER = tuple(TITLES)


@dataclass(frozen=True)
class CastStep:
    """One line of the checklist; ``look`` says when to look at it, by what was ticked before it. ``undo`` is the fact
    that takes its tick back, of the last one ticked."""

    key: str
    title: Text
    hint: Text
    done: datetime | None
    is_next: bool
    look: str = ""
    overdue: bool = False
    undo: str = ""


@dataclass(frozen=True)
class Casting:
    """The session; ``mould`` is there from the lift on."""

    cast: Cast
    steps: tuple[CastStep, ...]
    mix: PlasterMix | None
    mix_address: str
    planned: datetime | None
    bag_left: int | None  # grams of plaster in the studio, where bags are told
    mould: Mould | None
    constant: bool
    weighings: int


def casting_of(studio: Studio, cast_id: str, now: datetime) -> Casting | None:
    """The session of a cast, also of one that is a mould by now; None if there is no such cast."""
    cast = Cast.objects.filter(studio=studio, public_id=cast_id).select_related("form").first()
    if cast is None:
        return None
    state = state_of(studio)
    kept = MouldMix.objects.filter(form=cast.form).first()
    mould = Mould.objects.filter(studio=studio, public_id=cast_id, retired_at=None).select_related("form").first()
    water = waters_of(studio, state).of(mould, minute_of(now)) if mould is not None else None
    told = [b.left for b in state.plaster.values()]
    return Casting(
        cast, _steps(cast, state, now, water is not None and water.constant), mix_kept(kept) if kept else None,
        address_of(kept) if kept else "", planned_casts(studio).get(cast_id), sum(told) if told else None, mould,
        bool(water and water.constant), len(state.moulds[cast_id].grams) if cast_id in state.moulds else 0,
    )  # fmt: skip


def _steps(cast: Cast, state: State, now: datetime, constant: bool) -> tuple[CastStep, ...]:
    done = {key: local(at) for key, at in state.casting.get(cast.public_id, {}).items()}
    stands = state.casts.get(cast.public_id)
    if stands is not None and not stands.gone:
        done[POURED] = local(stands.poured)
        if stands.lifted is not None:
            done[LIFTED] = local(stands.lifted)
    if constant:
        done[DRY] = now
    last = max((ORDER.index(key) for key in done), default=-1)
    steps = [_step(key, cast, done, i, last, now) for i, key in enumerate(ORDER)]
    if last >= 0:
        steps[last] = replace(steps[last], undo=_told_by(state, cast.public_id, ORDER[last]))
    return tuple(steps)


def _told_by(state: State, cast: str, key: str) -> str:
    """The fact by which somebody told a step; nothing for the constant weight, which the weighings tell."""
    name = f"{key}/{cast}" if key in (POURED, LIFTED) else f"cast_step/{cast}/{key}"
    return state.seen.get(name, "")


def _step(key: str, cast: Cast, done: dict[str, datetime], i: int, last: int, now: datetime) -> CastStep:
    is_next = key not in done and i == last + 1
    look, until = _look(key, cast, done) if key not in done else ("", None)
    return CastStep(key, TITLES[key], HINTS[key], done.get(key), is_next, look, until is not None and now > until)


def _look(key: str, cast: Cast, done: dict[str, datetime]) -> tuple[str, datetime | None]:
    """When to look, and when it is late, by the ticks before it."""
    if key == POURED and "sifted" in done:
        soaked = done["sifted"] + timedelta(minutes=SOAK_MIN)
        said = {"soak": f"{soaked:%H:%M}", "stir": f"{soaked + timedelta(minutes=STIR_MIN):%H:%M}"}
        return _("Soaked by %(soak)s, stirred by %(stir)s.") % said, None
    if key == "frame_off" and POURED in done:
        return _between(done[POURED], FRAME_MIN)
    if key == LIFTED and POURED in done:
        return _between(done[POURED], tuple(cast.lift_after or USUAL_LIFT))
    if key == DRY and LIFTED in done:
        ready = done[LIFTED] + timedelta(minutes=cast.dry_min)
        return _("Usually dry by %(day)s.") % {"day": words.day(ready)}, None
    if key == LIFTED:
        lo, hi = cast.lift_after or USUAL_LIFT
        return _("From %(lo)s to %(hi)s after pouring.") % {"lo": words.span(lo), "hi": words.span(hi)}, None
    if key == "frame_off":
        return _("Usually %(lo)d to %(hi)d min after pouring.") % {"lo": FRAME_MIN[0], "hi": FRAME_MIN[1]}, None
    if key == DRY:
        return units.said(_("Some %(span)s, below 45 °C.") % {"span": words.span(cast.dry_min)}), None
    return "", None


def _between(poured: datetime, minutes: tuple[int, ...]) -> tuple[str, datetime]:
    first, last = (poured + timedelta(minutes=m) for m in minutes)
    said = {"from": f"{first:%H:%M}", "until": f"{last:%H:%M}"}
    return _("Look from %(from)s to %(until)s.") % said, last
